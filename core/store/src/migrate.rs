//! Brings a database from the version it has to the latest one, one numbered file at a time.
//!
//! The version is SQLite's `user_version`. It is set inside the transaction that runs the file, so a
//! kill between two lines leaves the version before. A file that was released is never edited.

use rusqlite::{Connection, TransactionBehavior};

/// The version that this program writes.
pub const LATEST: i64 = 1;

/// Numbered files; the first makes version 1.
const MIGRATIONS: [&str; LATEST as usize] = [include_str!("schema/0001_init.sql")];

/// The version of a database; 0 for a new one.
pub(crate) fn version(conn: &Connection) -> rusqlite::Result<i64> {
    conn.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Runs what is missing up to [`LATEST`].
pub(crate) fn to_latest(conn: &mut Connection) -> rusqlite::Result<()> {
    run(conn, &MIGRATIONS, LATEST)
}

/// Runs what is missing up to `target`: salvage first rebuilds the version that the damaged file had.
pub(crate) fn to_version(conn: &mut Connection, target: i64) -> rusqlite::Result<()> {
    run(conn, &MIGRATIONS, target)
}

fn run(conn: &mut Connection, files: &[&str], target: i64) -> rusqlite::Result<()> {
    for (file, number) in files.iter().zip(1..=target) {
        if version(conn)? >= number {
            continue;
        }
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Another program may have been faster between the look and the lock.
        if version(&tx)? < number {
            tx.execute_batch(file)?;
            tx.pragma_update(None, "user_version", number)?;
        }
        tx.commit()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEPS: &[&str] = &[
        "CREATE TABLE a (x INTEGER); INSERT INTO a VALUES (1);",
        "ALTER TABLE a ADD COLUMN y INTEGER; UPDATE a SET y = 2;",
    ];

    #[test]
    fn runs_only_what_is_missing() {
        let mut conn = Connection::open_in_memory().unwrap();
        run(&mut conn, STEPS, 1).unwrap();
        assert_eq!(version(&conn).unwrap(), 1);
        run(&mut conn, STEPS, 2).unwrap();
        run(&mut conn, STEPS, 2).unwrap();
        assert_eq!(version(&conn).unwrap(), 2);
        let row: (i64, i64) =
            conn.query_row("SELECT x, y FROM a", [], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
        assert_eq!(row, (1, 2));
    }

    #[test]
    fn a_step_that_fails_leaves_the_version_before() {
        let mut conn = Connection::open_in_memory().unwrap();
        let steps = [STEPS[0], "INSERT INTO a VALUES (7); INSERT INTO missing VALUES (1);"];
        assert!(run(&mut conn, &steps, 2).is_err());
        assert_eq!(version(&conn).unwrap(), 1);
        let rows: i64 = conn.query_row("SELECT count(*) FROM a", [], |r| r.get(0)).unwrap();
        assert_eq!(rows, 1, "the half of the failed step was undone");
    }
}
