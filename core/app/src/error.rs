//! What the shells are told when something cannot be done: a stable kind and one line for the person.

use wellwright_device::link::LinkError;
use wellwright_device::session::EndReason;
use wellwright_diagnosis::DiagnosisError;
use wellwright_domain::files::FileError;
use wellwright_physics::error::PhysicsError;
use wellwright_sim::SimError;
use wellwright_store::{OpenError, StoreError};

/// Kinds of failure. Stable: shells decide by them, never by the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ErrorKind {
    /// What was given cannot be used: a file, a value, a combination.
    BadInput,
    /// The thing asked for is not there.
    NotFound,
    /// Something is already under way.
    Busy,
    /// The store cannot be opened, read or written.
    Store,
    /// No controller in reach, or no radio.
    Radio,
    /// A file or folder cannot be written.
    Write,
    /// The program itself is at fault.
    Internal,
}

impl ErrorKind {
    /// Code for machine-readable output.
    pub const fn code(self) -> &'static str {
        match self {
            ErrorKind::BadInput => "bad_input",
            ErrorKind::NotFound => "not_found",
            ErrorKind::Busy => "busy",
            ErrorKind::Store => "store",
            ErrorKind::Radio => "radio",
            ErrorKind::Write => "write",
            ErrorKind::Internal => "internal",
        }
    }
}

/// A failure, with what to do about it in one line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{detail}")]
pub struct AppError {
    /// Kind.
    pub kind: ErrorKind,
    /// One line for the person.
    pub detail: String,
}

impl AppError {
    /// A failure of a kind.
    pub fn new(kind: ErrorKind, detail: impl Into<String>) -> AppError {
        // What files and radios say may hold line breaks and terminal codes; the message stays one line.
        AppError { kind, detail: detail.into().replace(char::is_control, " ") }
    }
}

impl From<FileError> for AppError {
    fn from(e: FileError) -> AppError {
        AppError::new(ErrorKind::BadInput, e.to_string())
    }
}

impl From<DiagnosisError> for AppError {
    fn from(e: DiagnosisError) -> AppError {
        AppError::new(ErrorKind::BadInput, e.to_string())
    }
}

impl From<PhysicsError> for AppError {
    fn from(e: PhysicsError) -> AppError {
        AppError::new(ErrorKind::BadInput, format!("the record cannot be computed: {e}; correct the record"))
    }
}

impl From<SimError> for AppError {
    fn from(e: SimError) -> AppError {
        AppError::new(ErrorKind::BadInput, e.to_string())
    }
}

impl From<OpenError> for AppError {
    fn from(e: OpenError) -> AppError {
        AppError::new(ErrorKind::Store, e.to_string())
    }
}

impl From<StoreError> for AppError {
    fn from(e: StoreError) -> AppError {
        AppError::new(ErrorKind::Store, e.to_string())
    }
}

impl From<LinkError> for AppError {
    fn from(e: LinkError) -> AppError {
        AppError::new(ErrorKind::Radio, e.to_string())
    }
}

impl From<&EndReason> for AppError {
    fn from(e: &EndReason) -> AppError {
        AppError::new(ErrorKind::Radio, e.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_is_one_line_whatever_was_said() {
        let e = AppError::new(ErrorKind::Radio, "a\nb\u{1b}[31mc");
        assert_eq!(e.to_string(), "a b [31mc");
        assert_eq!(e.kind.code(), "radio");
    }

    #[test]
    fn where_it_comes_from_decides_the_kind() {
        assert_eq!(AppError::from(LinkError::NoAdapter).kind, ErrorKind::Radio);
        assert_eq!(AppError::from(StoreError::DiskFull).kind, ErrorKind::Store);
        assert_eq!(AppError::from(SimError::Step(0.0)).kind, ErrorKind::BadInput);
    }
}
