//! What the tables look like, asked from a fresh database in memory so that it is written down once:
//! in `schema/*.sql`.

use rusqlite::Connection;

use crate::migrate;

/// Names of the tables of a version, parents before children.
pub(crate) fn tables(conn: &Connection) -> rusqlite::Result<Vec<String>> {
    conn.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY rowid")?
        .query_map([], |row| row.get(0))?
        .collect()
}

/// Names of the columns of a table; empty when there is no such table.
pub(crate) fn columns(conn: &Connection, table: &str) -> rusqlite::Result<Vec<String>> {
    conn.prepare("SELECT name FROM pragma_table_info(?1)")?.query_map([table], |row| row.get(0))?.collect()
}

/// The first table or column of the latest version that `conn` lacks.
pub(crate) fn first_missing(conn: &Connection) -> rusqlite::Result<Option<String>> {
    let mut fresh = Connection::open_in_memory()?;
    migrate::to_latest(&mut fresh)?;
    for table in tables(&fresh)? {
        let there = columns(conn, &table)?;
        if there.is_empty() {
            return Ok(Some(format!("table {table}")));
        }
        if let Some(column) = columns(&fresh, &table)?.iter().find(|c| !there.contains(c)) {
            return Ok(Some(format!("column {table}.{column}")));
        }
    }
    Ok(None)
}
