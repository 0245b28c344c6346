//! Tables as Rust sees them, one file a subject: what goes in, what comes out, and the SQL between.
//!
//! What writes takes a `&Transaction`, what reads takes a `&Connection`: a write outside a transaction
//! does not compile.

pub(crate) mod checks;
pub(crate) mod findings;
pub(crate) mod frames;
pub(crate) mod gaps;
pub(crate) mod readings;
pub(crate) mod records;
pub(crate) mod sessions;
pub(crate) mod systems;

use chrono::{DateTime, FixedOffset};
use rusqlite::{Row, Transaction};

use crate::error::{Result, StoreError};
use crate::time;

/// Number of a system in this store. On another phone the same system has another number but the same
/// `uid`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SystemId(pub i64);

/// Number of a session in this store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SessionId(pub i64);

/// The instant in columns `i` (milliseconds) and `i + 1` (offset) of a row.
fn instant(row: &Row<'_>, i: usize, what: &'static str, id: i64) -> Result<DateTime<FixedOffset>> {
    let ms: i64 = row.get(i)?;
    time::from_stored(ms, row.get(i + 1)?).ok_or_else(|| StoreError::Unreadable {
        what,
        id,
        why: format!("{ms} ms is outside the calendar"),
    })
}

/// The same where the instant may be null.
fn instant_if_any(
    row: &Row<'_>,
    i: usize,
    what: &'static str,
    id: i64,
) -> Result<Option<DateTime<FixedOffset>>> {
    match row.get::<_, Option<i64>>(i)? {
        Some(_) => instant(row, i, what, id).map(Some),
        None => Ok(None),
    }
}

/// Refuses a system that is not there, in words rather than as a broken rule of the database.
pub(crate) fn require_system(tx: &Transaction<'_>, system: SystemId) -> Result<()> {
    let there = tx.prepare_cached("SELECT 1 FROM systems WHERE id = ?1")?.exists([system.0])?;
    if there { Ok(()) } else { Err(StoreError::UnknownSystem(system.0)) }
}

/// Number of a source, which is added when it is new.
pub(crate) fn source_id(tx: &Transaction<'_>, name: &str) -> Result<i64> {
    tx.prepare_cached("INSERT INTO sources (name) VALUES (?1) ON CONFLICT DO NOTHING")?.execute([name])?;
    Ok(tx.prepare_cached("SELECT id FROM sources WHERE name = ?1")?.query_row([name], |row| row.get(0))?)
}
