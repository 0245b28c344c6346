//! Sessions: one stretch of listening to one controller, from connecting to giving up.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, Transaction, params};
use uuid::Uuid;

use super::{SessionId, SystemId, instant, instant_if_any, require_system, source_id};
use crate::error::{Result, StoreError};
use crate::time;

/// A session to start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewSession {
    /// Which system is listened to.
    pub system: SystemId,
    /// Who speaks, e.g. `ble:SERIAL`. Readings of one source are told apart by instant, so the same
    /// controller has the same source in every session.
    pub source: String,
    /// Serial number of the controller, when it has said it.
    pub serial: Option<String>,
    /// When it began.
    pub at: DateTime<FixedOffset>,
}

/// A session in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionRow {
    /// Number here.
    pub id: SessionId,
    /// Identity on every phone.
    pub uid: String,
    /// Which system.
    pub system: SystemId,
    /// Who spoke.
    pub source: String,
    /// Serial number of the controller.
    pub serial: Option<String>,
    /// When it began.
    pub started: DateTime<FixedOffset>,
    /// When it ended; `None` while it is open, or when the program was killed.
    pub ended: Option<DateTime<FixedOffset>>,
    /// Why it ended, as the session machine calls it.
    pub end_reason: Option<String>,
}

pub(crate) fn start(tx: &Transaction<'_>, session: &NewSession) -> Result<SessionId> {
    require_system(tx, session.system)?;
    let source = source_id(tx, &session.source)?;
    let (ms, offset) = time::to_stored(session.at);
    let id = tx
        .prepare_cached(
            "INSERT INTO sessions (uid, system_id, source_id, serial, started_ms, started_offset_min)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .insert(params![Uuid::new_v4().to_string(), session.system.0, source, session.serial, ms, offset])?;
    Ok(SessionId(id))
}

/// Ends a session. The first end stays: ending it again changes nothing.
pub(crate) fn end(
    tx: &Transaction<'_>,
    session: SessionId,
    at: DateTime<FixedOffset>,
    reason: &str,
) -> Result<()> {
    belongs_to(tx, session)?;
    let (ms, offset) = time::to_stored(at);
    tx.prepare_cached(
        "UPDATE sessions SET ended_ms = ?2, ended_offset_min = ?3, end_reason = ?4
         WHERE id = ?1 AND ended_ms IS NULL",
    )?
    .execute(params![session.0, ms, offset, reason])?;
    Ok(())
}

/// The system and the number of the source of a session.
pub(crate) fn belongs_to(conn: &Connection, session: SessionId) -> Result<(SystemId, i64)> {
    conn.prepare_cached("SELECT system_id, source_id FROM sessions WHERE id = ?1")?
        .query_row([session.0], |row| Ok((SystemId(row.get(0)?), row.get(1)?)))
        .optional()?
        .ok_or(StoreError::UnknownSession(session.0))
}

/// Every session of a system, in the order in which they were started.
pub(crate) fn all(conn: &Connection, system: SystemId) -> Result<Vec<SessionRow>> {
    let mut statement = conn.prepare_cached(
        "SELECT s.id, s.uid, o.name, s.serial, s.started_ms, s.started_offset_min, s.ended_ms,
                s.ended_offset_min, s.end_reason
         FROM sessions AS s JOIN sources AS o ON o.id = s.source_id WHERE s.system_id = ?1 ORDER BY s.id",
    )?;
    let mut rows = statement.query([system.0])?;
    let mut sessions = Vec::new();
    while let Some(row) = rows.next()? {
        let id: i64 = row.get(0)?;
        sessions.push(SessionRow {
            id: SessionId(id),
            uid: row.get(1)?,
            system,
            source: row.get(2)?,
            serial: row.get(3)?,
            started: instant(row, 4, "session", id)?,
            ended: instant_if_any(row, 6, "session", id)?,
            end_reason: row.get(8)?,
        });
    }
    Ok(sessions)
}
