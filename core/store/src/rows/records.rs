//! Versions of the record. A version is added, never changed and never removed.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use super::{SystemId, instant, require_system};
use crate::error::Result;
use crate::time;

/// A record to save.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewRecord {
    /// Name of the system as the record gives it.
    pub name: String,
    /// The record exactly as written (`*.system.toml`).
    pub toml: String,
    /// Hash of the version that was edited; `None` when it was not made from another.
    pub parent: Option<String>,
    /// When it was saved.
    pub at: DateTime<FixedOffset>,
}

/// One version of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordVersion {
    /// Grows with each version.
    pub id: i64,
    /// Whose record.
    pub system: SystemId,
    /// Name in this version.
    pub name: String,
    /// See [`record_hash`].
    pub hash: String,
    /// Hash of the version that was edited.
    pub parent: Option<String>,
    /// The record exactly as written.
    pub toml: String,
    /// When it was saved.
    pub created: DateTime<FixedOffset>,
    /// The phone or computer on which it was saved.
    pub device_uid: String,
}

/// Identity of a record's text: BLAKE3 of its bytes, 64 hexadecimal digits.
pub fn record_hash(toml: &str) -> String {
    blake3::hash(toml.as_bytes()).to_hex().to_string()
}

const SELECT: &str = "SELECT id, system_id, name, hash, parent_hash, toml, created_ms, created_offset_min, \
                      device_uid FROM record_versions WHERE system_id = ?1";

/// Adds a version. Saving the text of the latest version again adds nothing; going back to the text of
/// an older one is a version of its own.
pub(crate) fn save(tx: &Transaction<'_>, system: SystemId, record: &NewRecord) -> Result<RecordVersion> {
    require_system(tx, system)?;
    let hash = record_hash(&record.toml);
    if let Some(latest) = latest(tx, system)?.filter(|latest| latest.hash == hash) {
        return Ok(latest);
    }
    let (ms, offset) = time::to_stored(record.at);
    let id = tx
        .prepare_cached(
            "INSERT INTO record_versions
             (system_id, name, hash, parent_hash, toml, created_ms, created_offset_min, device_uid)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, (SELECT device_uid FROM store_info))",
        )?
        .insert(params![system.0, record.name, hash, record.parent, record.toml, ms, offset])?;
    let mut statement = tx.prepare_cached(&format!("{SELECT} AND id = ?2"))?;
    statement.query_row([system.0, id], |row| Ok(version(row)))?
}

pub(crate) fn latest(conn: &Connection, system: SystemId) -> Result<Option<RecordVersion>> {
    conn.prepare_cached(&format!("{SELECT} ORDER BY id DESC LIMIT 1"))?
        .query_row([system.0], |row| Ok(version(row)))
        .optional()?
        .transpose()
}

/// Every version, oldest first.
pub(crate) fn all(conn: &Connection, system: SystemId) -> Result<Vec<RecordVersion>> {
    let mut statement = conn.prepare_cached(&format!("{SELECT} ORDER BY id"))?;
    let mut rows = statement.query([system.0])?;
    let mut versions = Vec::new();
    while let Some(row) = rows.next()? {
        versions.push(version(row)?);
    }
    Ok(versions)
}

fn version(row: &Row<'_>) -> Result<RecordVersion> {
    let id = row.get(0)?;
    Ok(RecordVersion {
        id,
        system: SystemId(row.get(1)?),
        name: row.get(2)?,
        hash: row.get(3)?,
        parent: row.get(4)?,
        toml: row.get(5)?,
        created: instant(row, 6, "record version", id)?,
        device_uid: row.get(8)?,
    })
}
