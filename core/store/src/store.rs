//! The handle: opens, writes through the one writer, reads through connections of their own.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use wellwright_domain::check::CheckMade;
use wellwright_domain::finding::Finding;

use crate::batch::{self, Batch, Committed};
use crate::error::{OpenError, Result, StoreError};
use crate::open::{self, Options};
use crate::reader::Reader;
use crate::rows::records::{self, NewRecord, RecordVersion};
use crate::rows::sessions::{self, NewSession};
use crate::rows::{SessionId, SystemId, checks, findings, systems};
use crate::salvage::SetAside;
use crate::writer::{Ack, Writer};

/// Readers that are kept open between calls.
const IDLE_READERS: usize = 4;

/// A store that is open. Clones are handles to the same store; the last one that goes closes it.
#[derive(Debug, Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    path: PathBuf,
    patience: Duration,
    // Before `writer`: readers go first, so that the writer is the last to close the file.
    idle: Mutex<Option<Vec<Reader>>>,
    writer: Writer,
}

/// What opening gave.
#[derive(Debug)]
pub struct Opened {
    /// The store.
    pub store: Store,
    /// Set when the store was damaged and a new one was started. Show it to the person.
    pub set_aside: Option<SetAside>,
}

impl Store {
    /// Opens the store in this file, and makes it when there is none.
    ///
    /// A damaged file is renamed, what can be read of it is copied into a new one, and
    /// [`Opened::set_aside`] says so. The folder must exist. Beside the file stand its log
    /// (`-wal`, `-shm`) while it is open, and `-lock`.
    ///
    /// # Errors
    /// See [`OpenError`]; the file is left as it is.
    pub fn open(path: impl AsRef<Path>, options: &Options) -> std::result::Result<Opened, OpenError> {
        let path = path.as_ref().to_owned();
        let (conn, lock, set_aside) = open::writable(&path, options)?;
        open::set_size_limit(&conn, options.size_limit)
            .map_err(|source| OpenError::Sqlite { path: path.clone(), source })?;
        let writer = Writer::start(conn, lock, options.queue)
            .map_err(|e| OpenError::Place { path: path.clone(), why: e.to_string() })?;
        let inner = Inner { path, patience: options.patience(), idle: Mutex::new(Some(Vec::new())), writer };
        Ok(Opened { store: Store { inner: Arc::new(inner) }, set_aside })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.inner.path
    }

    /// Adds a system that has this name until it has a record. `at`: now.
    pub fn add_system(&self, name: &str, at: DateTime<FixedOffset>) -> Result<SystemId> {
        let name = name.to_owned();
        self.inner.writer.transact(move |tx| systems::add(tx, &name, at))?.wait()
    }

    /// The system that bears this name now, or a new one. Two callers at once get the same.
    pub fn system_named(&self, name: &str, at: DateTime<FixedOffset>) -> Result<SystemId> {
        let name = name.to_owned();
        self.inner.writer.transact(move |tx| systems::named(tx, &name, at))?.wait()
    }

    /// Saves a version of a system's record. The text of the latest version again adds nothing and gives
    /// that version. The caller has checked that the text is a record.
    pub fn save_record(&self, system: SystemId, record: NewRecord) -> Result<RecordVersion> {
        self.inner.writer.transact(move |tx| records::save(tx, system, &record))?.wait()
    }

    /// Starts a session.
    pub fn append_session(&self, session: NewSession) -> Result<SessionId> {
        self.inner.writer.transact(move |tx| sessions::start(tx, &session))?.wait()
    }

    /// Ends a session; ending it again changes nothing.
    pub fn end_session(&self, session: SessionId, at: DateTime<FixedOffset>, reason: &str) -> Result<()> {
        let reason = reason.to_owned();
        self.inner.writer.transact(move |tx| sessions::end(tx, session, at, &reason))?.wait()
    }

    /// Queues a batch and waits only while the queue is full. It is safe once the [`Ack`] says so; a
    /// batch that failed can be offered again as it is.
    pub fn append(&self, batch: Batch) -> Result<Ack<Committed>> {
        self.inner.writer.transact(move |tx| batch::write(tx, &batch))
    }

    /// Queues a batch without ever waiting, and tells `done` the outcome after the commit.
    ///
    /// `done` runs on the writer's thread: it should only pass the outcome on, and must not wait for
    /// this store.
    ///
    /// # Errors
    /// [`StoreError::QueueFull`] when the queue is full, [`StoreError::Closed`]; `done` is not called then.
    pub fn try_append(
        &self,
        batch: Batch,
        done: impl FnOnce(Result<Committed>) + Send + 'static,
    ) -> Result<()> {
        self.inner.writer.try_transact(move |tx| batch::write(tx, &batch), done)
    }

    /// Saves a check made by hand. `at`: now, which need not be when it was made.
    pub fn save_check(&self, system: SystemId, made: CheckMade, at: DateTime<FixedOffset>) -> Result<()> {
        self.inner.writer.transact(move |tx| checks::insert(tx, system, &made, at))?.wait()
    }

    /// Saves a finding and gives its number. `at`: now.
    pub fn save_finding(&self, system: SystemId, finding: Finding, at: DateTime<FixedOffset>) -> Result<i64> {
        self.inner.writer.transact(move |tx| findings::insert(tx, system, &finding, at))?.wait()
    }

    /// Sets or lifts the limit on the size of the database file, bytes.
    pub fn set_size_limit(&self, bytes: Option<u64>) -> Result<()> {
        self.inner.writer.with_connection(move |conn| Ok(open::set_size_limit(conn, bytes)?))
    }

    /// A reader of one's own, for a thread that reads much.
    pub fn reader(&self) -> Result<Reader> {
        Reader::open(&self.inner.path, self.inner.patience)
    }

    /// Reads through a reader that is kept for the next call.
    pub fn read<T>(&self, work: impl FnOnce(&Reader) -> Result<T>) -> Result<T> {
        let idle = || self.inner.idle.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = idle().as_mut().ok_or(StoreError::Closed)?.pop();
        let reader = kept.map_or_else(|| self.reader(), Ok)?;
        let outcome = work(&reader);
        if let Some(kept) = idle().as_mut().filter(|kept| kept.len() < IDLE_READERS) {
            kept.push(reader);
        }
        outcome
    }

    /// Writes what is queued and closes the file for every handle; call it before the system may freeze
    /// the program. Readers from [`Store::reader`] stay usable until they are dropped.
    pub fn close(&self) {
        drop(self.inner.idle.lock().unwrap_or_else(PoisonError::into_inner).take());
        self.inner.writer.close();
    }
}
