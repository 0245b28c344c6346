//! Frames: the bytes as they came, kept so that a better decoder can be run on them again.

use chrono::{DateTime, FixedOffset, Utc};
use rusqlite::{Connection, Transaction, params};
use uuid::Uuid;

use super::SessionId;
use crate::error::{Result, StoreError};
use crate::time;

/// One notification or read, untouched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawFrame {
    /// When it arrived, on the receiving device's clock. It comes back in UTC, to the millisecond.
    pub received: DateTime<FixedOffset>,
    /// The characteristic that it came from.
    pub characteristic: Uuid,
    /// The bytes.
    pub bytes: Vec<u8>,
}

pub(crate) fn insert(tx: &Transaction<'_>, session: SessionId, frames: &[RawFrame]) -> Result<()> {
    let mut statement = tx.prepare_cached(
        "INSERT INTO frames (session_id, received_ms, characteristic, bytes) VALUES (?1, ?2, ?3, ?4)",
    )?;
    for frame in frames {
        let (ms, _) = time::to_stored(frame.received);
        statement.execute(params![session.0, ms, frame.characteristic.as_bytes(), frame.bytes])?;
    }
    Ok(())
}

/// The frames of a session in the order of arrival, whatever the clock did meanwhile.
pub(crate) fn of_session(conn: &Connection, session: SessionId) -> Result<Vec<RawFrame>> {
    let mut statement = conn.prepare_cached(
        "SELECT id, received_ms, characteristic, bytes FROM frames WHERE session_id = ?1 ORDER BY id",
    )?;
    let mut rows = statement.query([session.0])?;
    let mut frames = Vec::new();
    while let Some(row) = rows.next()? {
        let id: i64 = row.get(0)?;
        let unreadable = |why: &str| StoreError::Unreadable { what: "frame", id, why: why.to_owned() };
        let received =
            time::from_stored(row.get(1)?, 0).ok_or_else(|| unreadable("time outside the calendar"))?;
        let characteristic = row.get_ref(2)?.as_blob().ok().and_then(|b| Uuid::from_slice(b).ok());
        frames.push(RawFrame {
            received: received.with_timezone(&Utc).fixed_offset(),
            characteristic: characteristic
                .ok_or_else(|| unreadable("characteristic of other than 16 bytes"))?,
            bytes: row.get(3)?,
        });
    }
    Ok(frames)
}
