//! What a physics function answers instead of a number it cannot stand behind.

use thiserror::Error;

/// Why a calculation gives no number.
///
/// Every message says what was asked, what would be acceptable and, where it
/// helps, what to do about it.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PhysicsError {
    /// An input lies outside the range in which the equation holds.
    #[error("{what} is {value} {unit}; it must lie between {min} and {max} {unit}")]
    OutOfRange {
        /// Name of the quantity in the trade's words.
        what: &'static str,
        /// Its unit.
        unit: &'static str,
        /// The value that was given.
        value: f64,
        /// Smallest accepted value.
        min: f64,
        /// Largest accepted value.
        max: f64,
    },
    /// A set of numbers admits no model of the wanted kind.
    #[error("{what} cannot be fitted: {why}")]
    CannotFit {
        /// What was to be fitted.
        what: &'static str,
        /// Why it cannot, and which number to check.
        why: &'static str,
    },
    /// Two curves that should cross do not.
    #[error("{which} do not meet")]
    NoMeeting {
        /// The two curves.
        which: &'static str,
    },
}

impl PhysicsError {
    /// True when an input was outside its range.
    #[must_use]
    pub const fn is_range(&self) -> bool {
        matches!(self, Self::OutOfRange { .. })
    }
}

/// Passes `value` through when it is finite and within `[min, max]`.
pub(crate) fn in_range(
    what: &'static str,
    unit: &'static str,
    value: f64,
    min: f64,
    max: f64,
) -> Result<f64, PhysicsError> {
    if value.is_finite() && value >= min && value <= max {
        Ok(value)
    } else {
        Err(PhysicsError::OutOfRange { what, unit, value, min, max })
    }
}
