//! Opens a database file: settings, check, version, and what happens when it is damaged.
//!
//! Settings, and why: write-ahead log (readers never wait for the writer); `synchronous=FULL` and, on
//! Apple systems, `fullfsync` (an acknowledged reading survives a power cut); temporary tables in memory
//! (Android gives no place for them); a limit on the log file that is left behind; and two hardenings for
//! files that come from elsewhere (`trusted_schema`, `cell_size_check`).

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::config::DbConfig;
use rusqlite::{Connection, MAIN_DB, OpenFlags};
use uuid::Uuid;

use crate::error::{Kind, OpenError, kind};
use crate::lock::{Held, StoreLock};
use crate::migrate;
use crate::salvage::{self, SetAside};
use crate::schema;

/// How to open a store.
#[derive(Debug, Clone)]
pub struct Options {
    /// How long to wait for another program before giving up. Default 5 s, at most 10 min.
    pub patience: Duration,
    /// Batches that may wait for the writer. Default 64.
    pub queue: usize,
    /// Upper limit on the size of the database file, bytes. Default none: until the disk is full.
    pub size_limit: Option<u64>,
}

impl Default for Options {
    fn default() -> Options {
        Options { patience: Duration::from_secs(5), queue: 64, size_limit: None }
    }
}

impl Options {
    pub(crate) fn patience(&self) -> Duration {
        self.patience.min(Duration::from_mins(10))
    }
}

/// Marks a file as a store of ours (`application_id`): "WELW".
pub(crate) const APPLICATION_ID: i64 = 0x5745_4C57;

/// Bytes of write-ahead log that may stay on disk after a checkpoint.
const LOG_LEFT_BYTES: i64 = 8 << 20;

/// Why a file could not be prepared.
enum Fault {
    Final(OpenError),
    Busy,
    Damaged(String),
}

/// The writing connection, the lock that goes with it, and what was set aside, if anything.
pub(crate) fn writable(
    path: &Path,
    options: &Options,
) -> Result<(Connection, StoreLock, Option<SetAside>), OpenError> {
    let patience = options.patience();
    let place = |e: io::Error| place(path, &e);
    let lock = StoreLock::file_of(path).map_err(place)?;
    if lock.share(patience).map_err(place)? == Held::No {
        return Err(OpenError::Locked { path: path.to_owned(), waited: patience });
    }
    salvage::finish_interrupted(path).map_err(place)?;
    let reason = match prepare_patiently(path, patience) {
        Ok(conn) => {
            lock.mark().map_err(place)?;
            return Ok((conn, lock, None));
        }
        // A file that is no database at all, where no store ever was, is somebody's file.
        Err(Fault::Damaged(_)) if !is_database(path) && !lock.is_marked() => {
            return Err(OpenError::NotAStore { path: path.to_owned() });
        }
        Err(Fault::Damaged(reason)) => reason,
        Err(other) => return Err(outward(path, patience, other)),
    };
    tracing::warn!(%reason, "the store is damaged");
    if lock.alone(patience).map_err(place)? == Held::No {
        return Err(OpenError::DamagedInUse { path: path.to_owned(), reason });
    }
    // While waiting for the lock, another program may already have replaced the file.
    let aside = match prepare_patiently(path, patience) {
        Ok(_) => None,
        Err(Fault::Damaged(reason)) => Some(salvage::set_aside(path, &reason)?),
        Err(other) => return Err(outward(path, patience, other)),
    };
    let conn = prepare_patiently(path, patience).map_err(|fault| outward(path, patience, fault))?;
    match lock.share_again(patience).map_err(place)? {
        Held::Yes => Ok((conn, lock, aside)),
        Held::No => Err(OpenError::Locked { path: path.to_owned(), waited: patience }),
    }
}

/// A connection that can only read.
pub(crate) fn read_only(path: &Path, patience: Duration) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags)?;
    conn.busy_timeout(patience)?;
    conn.set_prepared_statement_cache_capacity(32);
    conn.execute_batch(
        "PRAGMA temp_store = MEMORY; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;
         PRAGMA query_only = ON;",
    )?;
    Ok(conn)
}

/// Sets the settings of a writing connection and checks that the log is on.
pub(crate) fn set_pragmas(conn: &Connection) -> rusqlite::Result<bool> {
    let mode: String = conn.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    conn.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA temp_store = MEMORY;
         PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;",
    )?;
    conn.query_row(&format!("PRAGMA journal_size_limit = {LOG_LEFT_BYTES}"), [], |_| Ok(()))?;
    if cfg!(target_vendor = "apple") {
        conn.execute_batch("PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON;")?;
    }
    conn.set_prepared_statement_cache_capacity(64);
    Ok(mode.eq_ignore_ascii_case("wal"))
}

/// Sets or lifts the limit on the size of the database file.
pub(crate) fn set_size_limit(conn: &Connection, bytes: Option<u64>) -> rusqlite::Result<()> {
    let page: i64 = conn.query_row("PRAGMA page_size", [], |row| row.get(0))?;
    let most = i64::from(u32::MAX - 1);
    let pages = bytes.map_or(most, |b| i64::try_from(b).map_or(most, |b| (b / page.max(1)).clamp(1, most)));
    conn.query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(()))
}

/// Switching a new file to the write-ahead log does not always wait by itself when two programs start
/// together; so the whole is tried again until the time is over.
fn prepare_patiently(path: &Path, patience: Duration) -> Result<Connection, Fault> {
    let start = Instant::now();
    loop {
        match prepare(path, patience) {
            Err(Fault::Busy) if start.elapsed() < patience => std::thread::sleep(Duration::from_millis(10)),
            done => return done,
        }
    }
}

fn prepare(path: &Path, patience: Duration) -> Result<Connection, Fault> {
    let fault = |e| fault(path, e);
    let flags =
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut conn = Connection::open_with_flags(path, flags).map_err(fault)?;
    conn.busy_timeout(patience).map_err(fault)?;
    // Until it is known to be sound, closing it must not write the log into it.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true).map_err(fault)?;
    if conn.is_readonly(MAIN_DB).map_err(fault)? {
        return Err(Fault::Final(OpenError::ReadOnly { path: path.to_owned() }));
    }
    if !is_new(&conn, path)? {
        // The file may be written but its head says it may not: no SQLite ever wrote that head.
        if conn.is_readonly(MAIN_DB).map_err(fault)? {
            return Err(Fault::Damaged("its head asks for another file format".into()));
        }
        first_fault(&conn).map_err(fault)?.map_or(Ok(()), |found| Err(Fault::Damaged(found)))?;
    }
    if !set_pragmas(&conn).map_err(fault)? {
        let why = "its drive cannot hold a write-ahead log".to_owned();
        return Err(Fault::Final(OpenError::Place { path: path.to_owned(), why }));
    }
    migrate_or_create(&mut conn).map_err(fault)?;
    if let Some(missing) = schema::first_missing(&conn).map_err(fault)? {
        return Err(Fault::Damaged(format!("{missing} is missing")));
    }
    give_identity(&conn).map_err(fault)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false).map_err(fault)?;
    Ok(conn)
}

/// True for an empty file; an error for somebody else's database or a newer version.
fn is_new(conn: &Connection, path: &Path) -> Result<bool, Fault> {
    let fault = |e| fault(path, e);
    let number = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0)).map_err(fault);
    let found = number("PRAGMA user_version")?;
    let ours = number("PRAGMA application_id")? == APPLICATION_ID;
    if ours && found > migrate::LATEST {
        let known = migrate::LATEST;
        return Err(Fault::Final(OpenError::Newer { path: path.to_owned(), found, known }));
    }
    let empty = number("SELECT count(*) FROM sqlite_schema")? == 0 && found == 0;
    if ours && !empty && found < 1 {
        return Err(Fault::Damaged(format!("format version {found}")));
    }
    if empty || ours { Ok(empty) } else { Err(Fault::Final(OpenError::NotAStore { path: path.to_owned() })) }
}

/// True when the file begins as every SQLite file does.
fn is_database(path: &Path) -> bool {
    const MAGIC: &[u8; 16] = b"SQLite format 3\0";
    let mut start = [0; MAGIC.len()];
    File::open(path).and_then(|mut file| file.read_exact(&mut start)).is_ok() && start == *MAGIC
}

/// `None` when sound, else the first thing that is wrong. The full check, indexes against tables too: it
/// takes half as long again as the quick one (0.33 s for 500,000 readings on one desktop core).
fn first_fault(conn: &Connection) -> rusqlite::Result<Option<String>> {
    let said: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    Ok((said != "ok").then_some(said))
}

/// Marks a new file as ours, and brings the tables to the latest version.
fn migrate_or_create(conn: &mut Connection) -> rusqlite::Result<()> {
    if migrate::version(conn)? < migrate::LATEST {
        conn.pragma_update(None, "application_id", APPLICATION_ID)?;
        migrate::to_latest(conn)?;
    }
    Ok(())
}

/// Gives this phone or computer its identity, once.
fn give_identity(conn: &Connection) -> rusqlite::Result<()> {
    let devices: i64 = conn.query_row("SELECT count(*) FROM store_info", [], |row| row.get(0))?;
    if devices == 0 {
        conn.execute(
            "INSERT INTO store_info (id, device_uid) VALUES (1, ?1) ON CONFLICT DO NOTHING",
            [Uuid::new_v4().to_string()],
        )?;
    }
    Ok(())
}

fn fault(path: &Path, error: rusqlite::Error) -> Fault {
    let path = path.to_owned();
    match kind(&error) {
        Kind::Damaged => Fault::Damaged(error.to_string()),
        Kind::Locked => Fault::Busy,
        Kind::ReadOnly => Fault::Final(OpenError::ReadOnly { path }),
        Kind::DiskFull => Fault::Final(OpenError::DiskFull { path }),
        Kind::Place | Kind::Drive => Fault::Final(OpenError::Place { path, why: error.to_string() }),
        Kind::Other => Fault::Final(OpenError::Sqlite { path, source: error }),
    }
}

fn outward(path: &Path, patience: Duration, fault: Fault) -> OpenError {
    let path = path.to_owned();
    match fault {
        Fault::Final(error) => error,
        Fault::Busy => OpenError::Locked { path, waited: patience },
        Fault::Damaged(reason) => OpenError::SetAside {
            path,
            reason,
            why: "the new store is damaged too: the drive may be failing".into(),
        },
    }
}

fn place(path: &Path, error: &io::Error) -> OpenError {
    let path = path.to_owned();
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => OpenError::ReadOnly { path },
        ErrorKind::StorageFull => OpenError::DiskFull { path },
        _ => OpenError::Place { path, why: error.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Most settings belong to the connection, so only the writer's own can tell.
    #[test]
    fn the_writing_connection_has_every_setting() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("wells.db");
        let (conn, _lock, aside) = writable(&path, &Options::default()).unwrap();
        assert_eq!(aside, None);
        let number = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
        // Numbers as SQLite's documentation of each pragma gives them: synchronous 2 is FULL, temp_store
        // 2 is MEMORY.
        for (pragma, value) in [
            ("synchronous", 2),
            ("foreign_keys", 1),
            ("temp_store", 2),
            ("trusted_schema", 0),
            ("cell_size_check", 1),
            ("busy_timeout", 5000),
            ("journal_size_limit", LOG_LEFT_BYTES),
            ("fullfsync", i64::from(cfg!(target_vendor = "apple"))),
        ] {
            assert_eq!(number(&format!("PRAGMA {pragma}")), value, "{pragma}");
        }
        assert!(!conn.db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE).unwrap());
        let reader = read_only(&path, Duration::ZERO).unwrap();
        assert!(reader.execute("INSERT INTO sources (name) VALUES ('x')", []).is_err());
    }
}
