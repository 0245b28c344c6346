//! What the simulator answers when it cannot play what was asked.

use thiserror::Error;
use wellwright_domain::cause::Cause;
use wellwright_physics::error::PhysicsError;

/// Why nothing can be simulated.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SimError {
    /// The cause is known to the ranking, but no plant with it has been written.
    #[error("{} is not simulated yet; choose one of: {}", .0.code(), crate::fault::codes())]
    NotSimulated(Cause),
    /// A severity was given for a cause that has none.
    #[error("{} has no severity; leave it out", .0.code())]
    NoSeverity(Cause),
    /// The severity lies outside the cause's range.
    #[error("severity of {} is {value} {unit}; it must lie between {low} and {high}", .cause.code())]
    Severity {
        /// Cause.
        cause: Cause,
        /// As given.
        value: f64,
        /// Unit of the severity.
        unit: String,
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// The time step is no usable number of seconds.
    #[error("the time step is {0} s; it must lie between 0.1 and 60 s")]
    Step(f64),
    /// The record, or the date, holds a value that no physics answers.
    #[error("the record cannot be simulated: {0}")]
    Physics(#[from] PhysicsError),
}
