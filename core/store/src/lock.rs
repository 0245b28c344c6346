//! A lock file beside the store: whoever has the store open holds it shared, whoever replaces a damaged
//! store needs it alone. SQLite's own locks live in the database file and go with it when it is renamed.
//!
//! The operating system releases the lock when a program is killed. Where it has no such lock, every
//! program counts as alone; there (phones) the store belongs to one app anyway.

use std::ffi::OsString;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The lock, held until dropped.
#[derive(Debug)]
pub(crate) struct StoreLock {
    file: File,
}

/// Outcome of a try.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Held {
    /// It is ours.
    Yes,
    /// Somebody else had it until the time was over.
    No,
}

const PAUSE: Duration = Duration::from_millis(10);

impl StoreLock {
    /// Opens (and makes) the lock file without taking the lock.
    pub(crate) fn file_of(store: &Path) -> io::Result<StoreLock> {
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(beside(store, "-lock"))?;
        Ok(StoreLock { file })
    }

    /// Takes it together with others who have it shared.
    pub(crate) fn share(&self, patience: Duration) -> io::Result<Held> {
        self.retry(patience, File::try_lock_shared)
    }

    /// Takes it alone, giving up a shared hold first.
    pub(crate) fn alone(&self, patience: Duration) -> io::Result<Held> {
        match self.file.unlock() {
            Err(e) if !unsupported(&e) => return Err(e),
            _ => {}
        }
        self.retry(patience, File::try_lock)
    }

    /// From alone to shared.
    pub(crate) fn share_again(&self, patience: Duration) -> io::Result<Held> {
        match self.file.unlock() {
            Err(e) if !unsupported(&e) => return Err(e),
            _ => {}
        }
        self.share(patience)
    }

    /// Notes that a store was opened here once: a file here that is no database any more was one.
    pub(crate) fn mark(&self) -> io::Result<()> {
        if self.is_marked() { Ok(()) } else { (&self.file).write_all(b"a store is kept beside this file\n") }
    }

    /// True when a store was opened here before.
    pub(crate) fn is_marked(&self) -> bool {
        self.file.metadata().is_ok_and(|m| m.len() > 0)
    }

    fn retry(
        &self,
        patience: Duration,
        take: impl Fn(&File) -> Result<(), TryLockError>,
    ) -> io::Result<Held> {
        let start = Instant::now();
        loop {
            match take(&self.file) {
                Ok(()) => return Ok(Held::Yes),
                Err(TryLockError::Error(e)) if unsupported(&e) => return Ok(Held::Yes),
                Err(TryLockError::Error(e)) => return Err(e),
                Err(TryLockError::WouldBlock) if start.elapsed() >= patience => return Ok(Held::No),
                Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
            }
        }
    }
}

/// The path with something put after its name.
pub(crate) fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = OsString::from(path.as_os_str());
    name.push(suffix);
    PathBuf::from(name)
}

fn unsupported(error: &io::Error) -> bool {
    error.kind() == ErrorKind::Unsupported
}
