//! Sets a damaged database aside and copies what can still be read into a new one.
//!
//! The damaged files are renamed, never deleted and never written to. The new database is complete
//! before the first rename, so that a kill at any moment leaves either the old files in place or both.

use std::fmt;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use rusqlite::types::Value;
use rusqlite::{Connection, Statement, params_from_iter};

use crate::error::{Kind, OpenError, kind};
use crate::lock::beside;
use crate::{migrate, open, schema};

/// What happened to a damaged store. Show it to the person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// What the check found.
    pub reason: String,
    /// Where the damaged file is now.
    pub kept_as: PathBuf,
    /// What was copied, by table.
    pub tables: Vec<Salvaged>,
}

/// One table's share of a salvage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvaged {
    /// Name of the table.
    pub table: String,
    /// Rows that are in the new store.
    pub rows: u64,
    /// Places where rows could not be read; how many rows were there is not known.
    pub unreadable: u64,
}

impl SetAside {
    /// Rows in the new store, all tables together.
    pub fn rows(&self) -> u64 {
        self.tables.iter().map(|t| t.rows).sum()
    }

    /// True when every table was read to its end without a hole.
    pub fn is_complete(&self) -> bool {
        !self.tables.is_empty() && self.tables.iter().all(|t| t.unreadable == 0)
    }
}

impl fmt::Display for SetAside {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the store was damaged ({}) and a new one was started: {} rows were copied, {}; the damaged file is kept as {}",
            self.reason,
            self.rows(),
            if self.is_complete() { "none is known to be missing" } else { "some could not be read" },
            self.kept_as.display()
        )
    }
}

/// Files that belong to a database.
const SUFFIXES: [&str; 3] = ["", "-wal", "-shm"];

fn rebuilt(path: &Path) -> PathBuf {
    beside(path, "-rebuilt")
}

/// Ends what a kill interrupted: the damaged database was already renamed and the finished copy was not
/// yet in its place. A log that is still there belongs to the damaged one and must not meet the copy.
pub(crate) fn finish_interrupted(path: &Path) -> io::Result<()> {
    if path.try_exists()? || !rebuilt(path).try_exists()? {
        return Ok(());
    }
    let kept_as = free_name(path)?;
    for suffix in SUFFIXES {
        rename_if_there(&beside(path, suffix), &beside(&kept_as, suffix))?;
    }
    rename_if_there(&rebuilt(path), path)
}

/// Does the whole. The caller holds the store's lock alone and has no connection open.
pub(crate) fn set_aside(path: &Path, reason: &str) -> Result<SetAside, OpenError> {
    let copy = rebuilt(path);
    let failed = |why: String| OpenError::SetAside { path: path.to_owned(), reason: reason.to_owned(), why };
    for suffix in SUFFIXES {
        // Left over from a copy that was killed before it was complete.
        remove_if_there(&beside(&copy, suffix)).map_err(|e| failed(e.to_string()))?;
    }
    let tables = rebuild(path, &copy).map_err(|e| match kind(&e) {
        Kind::DiskFull => OpenError::DiskFull { path: path.to_owned() },
        _ => failed(e.to_string()),
    })?;
    let kept_as = free_name(path).map_err(|e| failed(e.to_string()))?;
    for suffix in SUFFIXES {
        rename_if_there(&beside(path, suffix), &beside(&kept_as, suffix))
            .map_err(|e| failed(e.to_string()))?;
    }
    std::fs::rename(&copy, path).map_err(|e| failed(e.to_string()))?;
    sync_folder_of(path);
    Ok(SetAside { reason: reason.to_owned(), kept_as, tables })
}

/// Writes the new database, in one file without a journal beside it: an unfinished one is thrown away.
fn rebuild(damaged: &Path, copy: &Path) -> rusqlite::Result<Vec<Salvaged>> {
    let mut new = Connection::open(copy)?;
    new.execute_batch("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = FULL; PRAGMA foreign_keys = OFF;")?;
    new.pragma_update(None, "application_id", open::APPLICATION_ID)?;
    let old = open::read_only(damaged, Duration::from_secs(1)).and_then(|old| {
        // The connection cannot write; the setting only makes SQLite read a file that is cut off.
        old.execute_batch("PRAGMA writable_schema = ON")?;
        Ok(old)
    });
    let version = old.as_ref().ok().and_then(|old| migrate::version(old).ok());
    migrate::to_version(
        &mut new,
        version.filter(|v| (1..=migrate::LATEST).contains(v)).unwrap_or(migrate::LATEST),
    )?;
    let mut report = Vec::new();
    if let Ok(old) = old {
        for table in schema::tables(&new)? {
            let tx = new.transaction()?;
            report.push(copy_table(&old, &tx, &table)?);
            tx.commit()?;
        }
    }
    new.execute_batch(include_str!("schema/salvage_parents.sql"))?;
    migrate::to_latest(&mut new)?;
    Ok(report)
}

/// Copies a table row by row in the order of its key and steps over what cannot be read.
///
/// Errors of the damaged side are counted; only errors of the new side end it.
fn copy_table(old: &Connection, new: &Connection, table: &str) -> rusqlite::Result<Salvaged> {
    let mut done = Salvaged { table: table.to_owned(), rows: 0, unreadable: 0 };
    let mut columns = schema::columns(new, table)?;
    match schema::columns(old, table) {
        Ok(there) => columns.retain(|c| there.contains(c)),
        Err(_) => columns.clear(),
    }
    let list = columns.join(", ");
    let select = format!("SELECT {list} FROM {table} NOT INDEXED WHERE id >= ?1 ORDER BY id");
    let Ok(mut select) = old.prepare(&select) else {
        done.unreadable += 1;
        return Ok(done);
    };
    if columns.first().is_none_or(|c| c != "id") {
        done.unreadable += 1;
        return Ok(done);
    }
    let marks = vec!["?"; columns.len()].join(", ");
    let mut insert = new.prepare(&format!("INSERT INTO {table} ({list}) VALUES ({marks})"))?;
    let mut from = i64::MIN;
    loop {
        match copy_run(&mut select, &mut insert, from, columns.len(), &mut done)? {
            Run::End => return Ok(done),
            Run::Broke { last } => {
                done.unreadable += 1;
                match next_readable(&mut select, last.unwrap_or(from)) {
                    Some(next) => from = next,
                    None => return Ok(done),
                }
            }
        }
    }
}

/// How a run of readable rows ended.
enum Run {
    End,
    Broke { last: Option<i64> },
}

fn copy_run(
    select: &mut Statement<'_>,
    insert: &mut Statement<'_>,
    from: i64,
    width: usize,
    done: &mut Salvaged,
) -> rusqlite::Result<Run> {
    let mut last = None;
    let Ok(mut rows) = select.query([from]) else { return Ok(Run::Broke { last }) };
    loop {
        let row = match rows.next() {
            Ok(Some(row)) => row,
            Ok(None) => return Ok(Run::End),
            Err(_) => return Ok(Run::Broke { last }),
        };
        let Ok(id) = row.get::<_, i64>(0) else { return Ok(Run::Broke { last }) };
        // A key that goes backwards: the pages are in a circle.
        if id < from || last.is_some_and(|l| id <= l) {
            return Ok(Run::Broke { last });
        }
        last = Some(id);
        let values: rusqlite::Result<Vec<Value>> = (0..width).map(|i| row.get(i)).collect();
        let Ok(values) = values else {
            done.unreadable += 1;
            continue;
        };
        match insert.execute(params_from_iter(values)) {
            Ok(_) => done.rows += 1,
            // A row that breaks a rule of the table (kind of value, double key) is not what was written.
            Err(e) if kind(&e) == Kind::Other => done.unreadable += 1,
            Err(e) => return Err(e),
        }
    }
}

/// The smallest key after `bad` from which reading works again. A seek goes straight to the page that
/// holds a key, so a page that cannot be read is stepped over alone.
///
/// A leaf of 4096 bytes holds fewer than `LEAF` rows, so single steps find the leaf after it. A longer
/// hole is a lost inner page: doubling steps until one works, then halving back to the edge.
fn next_readable(select: &mut Statement<'_>, bad: i64) -> Option<i64> {
    const LEAF: i64 = 1024;
    let mut works = |key: i64| select.query([key]).and_then(|mut rows| rows.next().map(|_| ())).is_ok();
    let start = bad.max(0);
    for step in 1..=LEAF {
        let key = start.checked_add(step)?;
        if works(key) {
            return Some(key);
        }
    }
    let mut step = LEAF;
    let mut fails = start.checked_add(LEAF)?;
    let mut good = loop {
        let key = fails.checked_add(step)?;
        if works(key) {
            break key;
        }
        fails = key;
        step = step.checked_mul(2)?;
    };
    while good - fails > 1 {
        let middle = fails + (good - fails) / 2;
        if works(middle) {
            good = middle;
        } else {
            fails = middle;
        }
    }
    Some(good)
}

/// Makes the renames last through a power cut, where the system lets a folder be synced.
fn sync_folder_of(path: &Path) {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if let Err(error) = File::open(folder).and_then(|folder| folder.sync_all()) {
        tracing::debug!(%error, "the folder of the store cannot be synced");
    }
}

fn remove_if_there(path: &Path) -> io::Result<()> {
    match std::fs::remove_file(path) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
        _ => Ok(()),
    }
}

fn rename_if_there(from: &Path, to: &Path) -> io::Result<()> {
    match std::fs::rename(from, to) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
        _ => Ok(()),
    }
}

/// A name that nothing has yet: `NAME.damaged-SECONDS`, with a number after it if need be.
fn free_name(path: &Path) -> io::Result<PathBuf> {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    for n in 0_u32.. {
        let tail = if n == 0 { String::new() } else { format!("-{n}") };
        let name = beside(path, &format!(".damaged-{seconds}{tail}"));
        if !name.try_exists()? && !beside(&name, "-wal").try_exists()? {
            return Ok(name);
        }
    }
    Err(io::ErrorKind::AlreadyExists.into())
}
