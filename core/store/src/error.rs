//! What can go wrong with the store, each with what the person can do about it.

use std::path::PathBuf;
use std::time::Duration;

use rusqlite::ErrorCode;
use thiserror::Error;

/// Why a store could not be opened. Nothing was changed, except where a variant says so.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The file or its folder may only be read.
    #[error(
        "the store {} may only be read: allow this program to write to the file and its folder, or copy the store to a place where it may write",
        path.display()
    )]
    ReadOnly {
        /// The store.
        path: PathBuf,
    },
    /// The folder is missing, the path is a folder, or the like.
    #[error("the store {} cannot be opened ({why}): check that the folder exists and is not on a drive that was removed", path.display())]
    Place {
        /// The store.
        path: PathBuf,
        /// What the system said.
        why: String,
    },
    /// Another program holds the lock.
    #[error(
        "the store {} is held by another program (waited {:.1} s): close that program or wait until it has finished, then try again",
        path.display(),
        waited.as_secs_f64()
    )]
    Locked {
        /// The store.
        path: PathBuf,
        /// How long was waited.
        waited: Duration,
    },
    /// Written by a newer version of this program.
    #[error(
        "the store {} has format version {found}, this program knows versions up to {known}: update this program; the store was left as it is",
        path.display()
    )]
    Newer {
        /// The store.
        path: PathBuf,
        /// Version in the file.
        found: i64,
        /// Latest version known here.
        known: i64,
    },
    /// A sound database or some other file, but not a store.
    #[error("{} is not a store of this program: choose another file for the store; it was left as it is", path.display())]
    NotAStore {
        /// The file.
        path: PathBuf,
    },
    /// Damaged, and it cannot be set aside while somebody else has it open.
    #[error(
        "the store {} is damaged ({reason}) and another program has it open: close that program, then try again; what can be saved is copied to a new store then",
        path.display()
    )]
    DamagedInUse {
        /// The store.
        path: PathBuf,
        /// What the check found.
        reason: String,
    },
    /// Damaged, and setting it aside failed. The damaged file is still there.
    #[error(
        "the store {} is damaged ({reason}) and could not be set aside ({why}): copy the file and those beside it to another drive, then try again",
        path.display()
    )]
    SetAside {
        /// The store.
        path: PathBuf,
        /// What the check found.
        reason: String,
        /// What prevented it.
        why: String,
    },
    /// No room.
    #[error("there is no room left for the store {}: free some space, then try again; nothing stored was lost", path.display())]
    DiskFull {
        /// The store.
        path: PathBuf,
    },
    /// Anything else that SQLite said.
    #[error("the store {} cannot be opened ({source}): try again; if it stays, keep the file and report this message", path.display())]
    Sqlite {
        /// The store.
        path: PathBuf,
        /// What SQLite said.
        source: rusqlite::Error,
    },
}

/// Why something could not be written or read. A write that fails leaves nothing half-written.
#[derive(Debug, Error)]
pub enum StoreError {
    /// No room on the disk, or the size limit is reached.
    #[error(
        "there is no room left for the store: free some space or raise its size limit; what was stored stays, and writing goes on once there is room"
    )]
    DiskFull,
    /// Another program is writing.
    #[error(
        "another program is writing to this store and did not finish in time: close it or wait, then try again; this write was not made"
    )]
    Locked,
    /// The file may only be read (any more).
    #[error(
        "the store may only be read: allow this program to write to the file and its folder; this write was not made"
    )]
    ReadOnly,
    /// The database is damaged.
    #[error(
        "the store is damaged: close it and open it again; the damaged file is then set aside and what can be saved is copied to a new store"
    )]
    Damaged,
    /// Reading or writing the drive failed.
    #[error(
        "the drive that holds the store failed ({0}): check the card or drive, then open the store again"
    )]
    Drive(String),
    /// The queue of the writer is full.
    #[error(
        "the store cannot keep up: the queue of batches waiting to be written is full; this batch was not taken, offer it again"
    )]
    QueueFull,
    /// The store was closed, or its writer has ended.
    #[error("the store is closed: open it again; this write was not made")]
    Closed,
    /// A record of a frame, reading or finding for a system that is not in the store.
    #[error("the store has no system number {0}: add the system first")]
    UnknownSystem(i64),
    /// The same for a session.
    #[error("the store has no session number {0}: start a session first")]
    UnknownSession(i64),
    /// Something that could not be read again.
    #[error(
        "this {what} cannot be stored ({why}): a number in it is not finite or a field is wrong; nothing was written"
    )]
    NotStorable {
        /// Kind of row.
        what: &'static str,
        /// What is wrong with it.
        why: String,
    },
    /// A stored text cannot be understood.
    #[error(
        "{what} number {id} in the store cannot be read ({why}): update this program; the row was left as it is"
    )]
    Unreadable {
        /// Kind of row.
        what: &'static str,
        /// Its number.
        id: i64,
        /// What is wrong with it.
        why: String,
    },
    /// Anything else that SQLite said.
    #[error("the store refused this ({0}): try again; if it stays, keep the file and report this message")]
    Sqlite(rusqlite::Error),
}

/// Result of a write or read.
pub type Result<T> = std::result::Result<T, StoreError>;

/// The few kinds of failure that are told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    DiskFull,
    Locked,
    ReadOnly,
    Damaged,
    Drive,
    Place,
    Other,
}

/// Kind of an SQLite failure.
pub(crate) fn kind(error: &rusqlite::Error) -> Kind {
    let rusqlite::Error::SqliteFailure(failure, said) = error else { return Kind::Other };
    // A head that names a file format that never was; SQLite gives it no code of its own.
    if said.as_deref() == Some("unsupported file format") {
        return Kind::Damaged;
    }
    match failure.code {
        ErrorCode::DiskFull => Kind::DiskFull,
        ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked | ErrorCode::FileLockingProtocolFailed => {
            Kind::Locked
        }
        ErrorCode::ReadOnly | ErrorCode::PermissionDenied => Kind::ReadOnly,
        ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase => Kind::Damaged,
        // The shared-memory file beside the database could not grow: the drive is full.
        ErrorCode::SystemIoFailure if failure.extended_code == rusqlite::ffi::SQLITE_IOERR_SHMSIZE => {
            Kind::DiskFull
        }
        ErrorCode::SystemIoFailure => Kind::Drive,
        ErrorCode::CannotOpen => Kind::Place,
        _ => Kind::Other,
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> StoreError {
        match kind(&error) {
            Kind::DiskFull => StoreError::DiskFull,
            Kind::Locked => StoreError::Locked,
            Kind::ReadOnly => StoreError::ReadOnly,
            Kind::Damaged => StoreError::Damaged,
            Kind::Drive | Kind::Place => StoreError::Drive(error.to_string()),
            Kind::Other => StoreError::Sqlite(error),
        }
    }
}
