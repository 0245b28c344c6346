//! Gaps: stretches of a session in which something was said and not received. A gap that is known is
//! evidence; a gap that is hidden is a lie in every sum.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, Transaction, params};

use super::{SessionId, instant};
use crate::error::Result;
use crate::time;

/// A stretch without frames.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// Last instant before it.
    pub from: DateTime<FixedOffset>,
    /// First instant after it; before `from` when the clock was set back meanwhile.
    pub to: DateTime<FixedOffset>,
    /// Frames that are missing, when their numbers tell.
    pub missing: Option<u32>,
    /// Why, as the session machine calls it, e.g. `link_lost`, `sequence`, `queue_full`, `clock_set`.
    pub reason: String,
}

pub(crate) fn insert(tx: &Transaction<'_>, session: SessionId, gaps: &[Gap]) -> Result<()> {
    let mut statement = tx.prepare_cached(
        "INSERT INTO gaps (session_id, from_ms, from_offset_min, to_ms, to_offset_min, missing, reason)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for gap in gaps {
        let (from, from_offset) = time::to_stored(gap.from);
        let (to, to_offset) = time::to_stored(gap.to);
        statement.execute(params![session.0, from, from_offset, to, to_offset, gap.missing, gap.reason])?;
    }
    Ok(())
}

/// The gaps of a session in the order in which they were noticed.
pub(crate) fn of_session(conn: &Connection, session: SessionId) -> Result<Vec<Gap>> {
    let mut statement = conn.prepare_cached(
        "SELECT id, from_ms, from_offset_min, to_ms, to_offset_min, missing, reason
         FROM gaps WHERE session_id = ?1 ORDER BY id",
    )?;
    let mut rows = statement.query([session.0])?;
    let mut gaps = Vec::new();
    while let Some(row) = rows.next()? {
        let id: i64 = row.get(0)?;
        gaps.push(Gap {
            from: instant(row, 1, "gap", id)?,
            to: instant(row, 3, "gap", id)?,
            missing: row.get(5)?,
            reason: row.get(6)?,
        });
    }
    Ok(gaps)
}
