//! Findings: every verdict that was given, with the record version that it rests on.

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};
use wellwright_domain::finding::Finding;

use super::{SystemId, instant, require_system};
use crate::error::{Result, StoreError};
use crate::time;

/// A finding in the store.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredFinding {
    /// Grows with each finding.
    pub id: i64,
    /// About which system.
    pub system: SystemId,
    /// When it was reached.
    pub created: DateTime<FixedOffset>,
    /// The finding.
    pub finding: Finding,
}

const SELECT: &str =
    "SELECT id, system_id, created_ms, created_offset_min, json FROM findings WHERE system_id = ?1";

/// Adds a finding and gives its number.
pub(crate) fn insert(
    tx: &Transaction<'_>,
    system: SystemId,
    finding: &Finding,
    at: DateTime<FixedOffset>,
) -> Result<i64> {
    require_system(tx, system)?;
    let refuse = |e: serde_json::Error| StoreError::NotStorable { what: "finding", why: e.to_string() };
    let json = serde_json::to_string(finding).map_err(refuse)?;
    // A number that JSON cannot hold (NaN) would be noticed only when the finding is read again.
    serde_json::from_str::<Finding>(&json).map_err(refuse)?;
    let verdict = serde_json::to_value(finding.verdict).map_err(refuse)?;
    let (ms, offset) = time::to_stored(at);
    let edge = |at: Option<DateTime<FixedOffset>>| at.map(|at| time::to_stored(at).0);
    Ok(tx
        .prepare_cached(
            "INSERT INTO findings (system_id, created_ms, created_offset_min, window_from_ms, window_to_ms,
                                   verdict, model_version, record_hash, json)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .insert(params![
            system.0,
            ms,
            offset,
            edge(finding.window.from),
            edge(finding.window.to),
            verdict.as_str().unwrap_or_default(),
            finding.model.version,
            finding.model.record_hash,
            json
        ])?)
}

/// The finding that was saved last, whatever the clock said.
pub(crate) fn latest(conn: &Connection, system: SystemId) -> Result<Option<StoredFinding>> {
    conn.prepare_cached(&format!("{SELECT} ORDER BY id DESC LIMIT 1"))?
        .query_row([system.0], |row| Ok(stored(row)))
        .optional()?
        .transpose()
}

/// Every finding about a system, oldest first.
pub(crate) fn all(conn: &Connection, system: SystemId) -> Result<Vec<StoredFinding>> {
    let mut statement = conn.prepare_cached(&format!("{SELECT} ORDER BY id"))?;
    let mut rows = statement.query([system.0])?;
    let mut findings = Vec::new();
    while let Some(row) = rows.next()? {
        findings.push(stored(row)?);
    }
    Ok(findings)
}

fn stored(row: &Row<'_>) -> Result<StoredFinding> {
    let id = row.get(0)?;
    let finding = serde_json::from_str(row.get_ref(4)?.as_str().map_err(rusqlite::Error::from)?)
        .map_err(|e| StoreError::Unreadable { what: "finding", id, why: e.to_string() })?;
    Ok(StoredFinding { id, system: SystemId(row.get(1)?), created: instant(row, 2, "finding", id)?, finding })
}
