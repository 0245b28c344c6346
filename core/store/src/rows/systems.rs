//! Systems: the things that everything else belongs to.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, Transaction, params};
use uuid::Uuid;

use super::{SystemId, instant};
use crate::error::Result;
use crate::time;

/// A system in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SystemRow {
    /// Number here.
    pub id: SystemId,
    /// Identity on every phone.
    pub uid: String,
    /// Name in the latest version of its record; before there is one, the name it was added with.
    pub name: String,
    /// When it was added.
    pub created: DateTime<FixedOffset>,
    /// Hash of the latest version of its record.
    pub record_hash: Option<String>,
}

const SELECT: &str = "
    SELECT s.id, s.uid, coalesce(r.name, s.first_name) AS name, s.created_ms, s.created_offset_min, r.hash
    FROM systems AS s
    LEFT JOIN record_versions AS r
        ON r.id = (SELECT max(id) FROM record_versions WHERE system_id = s.id)";

pub(crate) fn add(tx: &Transaction<'_>, name: &str, at: DateTime<FixedOffset>) -> Result<SystemId> {
    let (ms, offset) = time::to_stored(at);
    tx.prepare_cached(
        "INSERT INTO systems (uid, first_name, created_ms, created_offset_min) VALUES (?1, ?2, ?3, ?4)",
    )?
    .execute(params![Uuid::new_v4().to_string(), name, ms, offset])?;
    Ok(SystemId(tx.last_insert_rowid()))
}

/// The system that bears this name now (the one added first, should there be two), or a new one.
pub(crate) fn named(tx: &Transaction<'_>, name: &str, at: DateTime<FixedOffset>) -> Result<SystemId> {
    let found: Option<i64> = tx
        .prepare_cached(&format!("SELECT id FROM ({SELECT}) WHERE name = ?1 ORDER BY id LIMIT 1"))?
        .query_row([name], |row| row.get(0))
        .optional()?;
    found.map_or_else(|| add(tx, name, at), |id| Ok(SystemId(id)))
}

pub(crate) fn all(conn: &Connection) -> Result<Vec<SystemRow>> {
    let mut statement = conn.prepare_cached(&format!("{SELECT} ORDER BY name COLLATE NOCASE, s.id"))?;
    let mut rows = statement.query([])?;
    let mut systems = Vec::new();
    while let Some(row) = rows.next()? {
        let id: i64 = row.get(0)?;
        systems.push(SystemRow {
            id: SystemId(id),
            uid: row.get(1)?,
            name: row.get(2)?,
            created: instant(row, 3, "system", id)?,
            record_hash: row.get(5)?,
        });
    }
    Ok(systems)
}
