//! Readings: one row a sample, one column a channel.
//!
//! Identity. A row is known by system, instant and source. The same row told again (a replay, a log
//! fetched twice) is recognised and not added. The same instant told again with *other* content is what
//! a clock that was set back does: both rows are kept, the later one as a twin. Nothing is replaced.

use std::fmt::Write as _;
use std::sync::LazyLock;

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, Row, Statement, ToSql, Transaction};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::sample::Sample;

use super::{SessionId, SystemId, instant};
use crate::error::{Result, StoreError};
use crate::time;

/// A sample to store.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What was said. Values outside their physical range are kept; NaN is kept as "not known".
    pub sample: Sample,
    /// The controller's own running time, ms: it tells two equal rows apart when its clock was set back.
    pub device_ms: Option<i64>,
}

impl From<Sample> for Reading {
    fn from(sample: Sample) -> Reading {
        Reading { sample, device_ms: None }
    }
}

/// A sample from the store.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredReading {
    /// What was said.
    pub sample: Sample,
    /// The controller's own running time, ms.
    pub device_ms: Option<i64>,
    /// Who said it.
    pub source: String,
    /// The session that brought it; `None` for what was imported.
    pub session: Option<SessionId>,
}

/// How many rows were added, and how many were there before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Added {
    pub(crate) added: usize,
    pub(crate) known: usize,
}

/// Where a row belongs: numbers of system, source and session.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Origin {
    pub(crate) system: SystemId,
    pub(crate) source: i64,
    pub(crate) session: Option<SessionId>,
}

/// Columns before the channels.
const FIXED: usize = 8;

struct Sql {
    insert: String,
    same: String,
    insert_twin: String,
    select: String,
}

static SQL: LazyLock<Sql> = LazyLock::new(|| {
    let channels = Channel::ALL.map(Channel::code);
    let list = channels.join(", ");
    let marks = (1..=FIXED + Channel::COUNT).map(|i| format!("?{i}")).collect::<Vec<_>>().join(", ");
    let into = format!(
        "INSERT INTO readings (system_id, at_ms, source_id, at_offset_min, session_id, device_ms, state, flags, {list}"
    );
    let key = "system_id = ?1 AND at_ms = ?2 AND source_id = ?3";
    let mut same =
        format!("SELECT 1 FROM readings WHERE {key} AND device_ms IS ?6 AND state IS ?7 AND flags IS ?8");
    for (i, channel) in channels.iter().enumerate() {
        // Writing into a string cannot fail.
        let _ = write!(same, " AND {channel} IS ?{}", FIXED + 1 + i);
    }
    Sql {
        insert: format!("{into}) VALUES ({marks}) ON CONFLICT DO NOTHING"),
        same,
        insert_twin: format!(
            "{into}, twin) VALUES ({marks}, (SELECT max(twin) + 1 FROM readings WHERE {key}))"
        ),
        select: format!(
            "SELECT r.id, r.at_ms, r.at_offset_min, r.session_id, r.device_ms, r.state, r.flags, o.name, {list}
             FROM readings AS r JOIN sources AS o ON o.id = r.source_id WHERE r.system_id = ?1"
        ),
    }
});

pub(crate) fn insert(tx: &Transaction<'_>, origin: Origin, readings: &[Reading]) -> Result<Added> {
    let mut insert = tx.prepare_cached(&SQL.insert)?;
    let mut count = Added::default();
    for reading in readings {
        bind(&mut insert, origin, reading, true)?;
        if insert.raw_execute()? == 1 {
            count.added += 1;
            continue;
        }
        let mut same = tx.prepare_cached(&SQL.same)?;
        bind(&mut same, origin, reading, false)?;
        if same.raw_query().next()?.is_some() {
            count.known += 1;
        } else {
            let mut twin = tx.prepare_cached(&SQL.insert_twin)?;
            bind(&mut twin, origin, reading, true)?;
            twin.raw_execute()?;
            count.added += 1;
        }
    }
    Ok(count)
}

fn bind(
    statement: &mut Statement<'_>,
    origin: Origin,
    reading: &Reading,
    with_display: bool,
) -> rusqlite::Result<()> {
    let sample = &reading.sample;
    let (ms, offset) = time::to_stored(sample.at);
    statement.raw_bind_parameter(1, origin.system.0)?;
    statement.raw_bind_parameter(2, ms)?;
    statement.raw_bind_parameter(3, origin.source)?;
    // What a comparison leaves out has no parameter there.
    if with_display {
        statement.raw_bind_parameter(4, offset)?;
        statement.raw_bind_parameter(5, origin.session.map(|s| s.0))?;
    }
    statement.raw_bind_parameter(6, reading.device_ms)?;
    statement.raw_bind_parameter(7, sample.state.map(state_number))?;
    statement.raw_bind_parameter(8, sample.flags.map(Flags::bits))?;
    for (i, channel) in Channel::ALL.into_iter().enumerate() {
        statement.raw_bind_parameter(FIXED + 1 + i, sample.raw(channel).filter(|v| !v.is_nan()))?;
    }
    Ok(())
}

/// Rows of `from <= at < to`, to the millisecond, by instant, then by arrival.
pub(crate) fn between(
    conn: &Connection,
    system: SystemId,
    from: DateTime<FixedOffset>,
    to: DateTime<FixedOffset>,
) -> Result<Vec<StoredReading>> {
    let sql = format!("{} AND r.at_ms >= ?2 AND r.at_ms < ?3 ORDER BY r.at_ms, r.id", SQL.select);
    let params: [&dyn ToSql; 3] = [&system.0, &time::to_stored(from).0, &time::to_stored(to).0];
    let mut statement = conn.prepare_cached(&sql)?;
    let mut rows = statement.query(params)?;
    let mut readings = Vec::new();
    while let Some(row) = rows.next()? {
        readings.push(reading(row)?);
    }
    Ok(readings)
}

/// The row with the latest instant.
pub(crate) fn latest(conn: &Connection, system: SystemId) -> Result<Option<StoredReading>> {
    conn.prepare_cached(&format!("{} ORDER BY r.at_ms DESC, r.id DESC LIMIT 1", SQL.select))?
        .query_row([system.0], |row| Ok(reading(row)))
        .optional()?
        .transpose()
}

fn reading(row: &Row<'_>) -> Result<StoredReading> {
    let id: i64 = row.get(0)?;
    let unreadable = |why: String| StoreError::Unreadable { what: "reading", id, why };
    let mut sample = Sample::new(instant(row, 1, "reading", id)?);
    sample.state = row
        .get::<_, Option<i64>>(5)?
        .map(|n| state_of(n).ok_or_else(|| unreadable(format!("state {n} is not known"))))
        .transpose()?;
    sample.flags = row.get::<_, Option<u16>>(6)?.map(Flags::from_bits);
    for (i, channel) in Channel::ALL.into_iter().enumerate() {
        sample.set(channel, row.get(FIXED + i)?);
    }
    Ok(StoredReading {
        sample,
        device_ms: row.get(4)?,
        source: row.get(7)?,
        session: row.get::<_, Option<i64>>(3)?.map(SessionId),
    })
}

/// Stored number of a state. These numbers are in files and never change.
const fn state_number(state: PumpState) -> i64 {
    match state {
        PumpState::Running => 0,
        PumpState::Starting => 1,
        PumpState::Stopped => 2,
        PumpState::Tripped => 3,
    }
}

fn state_of(number: i64) -> Option<PumpState> {
    PumpState::ALL.into_iter().find(|state| state_number(*state) == number)
}
