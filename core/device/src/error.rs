//! What can be wrong with bytes that came in. One enum a layer; none of them ends a session.

use thiserror::Error;

/// Why an assembled frame is no live frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum FrameError {
    /// Fewer bytes than the head and the fields that its presence bits promise.
    #[error("live frame is {have} bytes long and needs {need}")]
    TooShort {
        /// Bytes there.
        have: usize,
        /// Bytes needed.
        need: usize,
    },
    /// More bytes than any live frame has, or bytes after the last field that no presence bit announces.
    #[error("live frame has {extra} bytes too many")]
    TooLong {
        /// Bytes over.
        extra: usize,
    },
    /// The check sum does not fit.
    #[error("live frame is damaged: check sum {said:04x}, computed {computed:04x}")]
    Checksum {
        /// In the frame.
        said: u16,
        /// Over its bytes.
        computed: u16,
    },
    /// Another version of the profile.
    #[error("the controller sends profile version {said}; this program reads version 1: update this program")]
    Version {
        /// In the frame.
        said: u8,
    },
}

/// Why a value that was read (serial, nameplate, status) cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// Too few bytes.
    #[error("{what} is {have} bytes long and needs at least {need}: the controller's firmware is faulty")]
    TooShort {
        /// Which characteristic.
        what: &'static str,
        /// Bytes there.
        have: usize,
        /// Bytes needed.
        need: usize,
    },
    /// Another version of the profile.
    #[error("{what} has profile version {said}; this program reads version 1: update this program")]
    Version {
        /// Which characteristic.
        what: &'static str,
        /// In the value.
        said: u8,
    },
    /// The serial number is empty, too long, or not printable ASCII.
    #[error(
        "the serial number must be 1 to 32 printable ASCII characters and is {said:?}: without it the controller cannot be told from others"
    )]
    Serial {
        /// What was read, with anything not printable made visible and cut at 40 characters.
        said: String,
    },
    /// A limit contradicts another.
    #[error("the nameplate says lowest {what} {low} and highest {high}: the controller's firmware is faulty")]
    Contradiction {
        /// Quantity.
        what: &'static str,
        /// Lowest, as text with unit.
        low: String,
        /// Highest, as text with unit.
        high: String,
    },
}
