//! What other languages catch: a kind to decide by, and one line for the person.

use wellwright_app::{AppError, ErrorKind};

/// A failure. `detail` says in one line what to do; no field is called `message`, which Kotlin has already.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
pub enum WellwrightError {
    /// What was given cannot be used: a file, a value, a combination.
    #[error("{detail}")]
    BadInput {
        /// For the person.
        detail: String,
    },
    /// The thing asked for is not there.
    #[error("{detail}")]
    NotFound {
        /// For the person.
        detail: String,
    },
    /// Something is already under way.
    #[error("{detail}")]
    Busy {
        /// For the person.
        detail: String,
    },
    /// The store cannot be opened, read or written.
    #[error("{detail}")]
    Store {
        /// For the person.
        detail: String,
    },
    /// No controller in reach, or no radio.
    #[error("{detail}")]
    Radio {
        /// For the person.
        detail: String,
    },
    /// A file or folder cannot be written.
    #[error("{detail}")]
    Write {
        /// For the person.
        detail: String,
    },
    /// The program itself is at fault.
    #[error("{detail}")]
    Internal {
        /// For the person.
        detail: String,
    },
}

impl From<AppError> for WellwrightError {
    fn from(error: AppError) -> WellwrightError {
        let detail = error.detail;
        match error.kind {
            ErrorKind::BadInput => WellwrightError::BadInput { detail },
            ErrorKind::NotFound => WellwrightError::NotFound { detail },
            ErrorKind::Busy => WellwrightError::Busy { detail },
            ErrorKind::Store => WellwrightError::Store { detail },
            ErrorKind::Radio => WellwrightError::Radio { detail },
            ErrorKind::Write => WellwrightError::Write { detail },
            ErrorKind::Internal => WellwrightError::Internal { detail },
        }
    }
}

/// What foreign code threw that is none of ours.
impl From<uniffi::UnexpectedUniFFICallbackError> for WellwrightError {
    fn from(error: uniffi::UnexpectedUniFFICallbackError) -> WellwrightError {
        WellwrightError::Internal { detail: error.reason }
    }
}
