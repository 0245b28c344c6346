//! Why a session waits or has ended. The text of each is what a person reads.

use thiserror::Error;

use super::PeripheralId;
use crate::error::ReadError;
use crate::identity::Serial;
use crate::link::LinkError;

/// Why the session is not following now and will try again.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Reason {
    /// Nothing that speaks the profile was seen.
    #[error("no controller in reach: go nearer, and see that it has sun on its panels")]
    NotFound,
    /// Controllers were seen, none with the serial looked for.
    #[error(
        "controller {wanted} is not in reach; {others} other(s) are: go nearer, or check the serial number"
    )]
    OnlyOthers {
        /// Serial looked for.
        wanted: Serial,
        /// How many others.
        others: usize,
    },
    /// The link said why.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// What was read cannot be used.
    #[error(transparent)]
    Unreadable(#[from] ReadError),
    /// Connected, subscribed, and no notification for too long.
    #[error("the controller fell silent for {silent_ms} ms: go nearer; if it stays so, restart it")]
    Silent {
        /// Length of the silence, ms.
        silent_ms: u64,
    },
    /// Notifications come, but no whole frame among them for too long.
    #[error(
        "the controller sends, but nothing readable for {silent_ms} ms: go nearer; if it stays so, its firmware is faulty"
    )]
    OnlyNoise {
        /// Time since the last good frame, ms.
        silent_ms: u64,
    },
    /// It sends far more than the profile allows.
    #[error("the controller sends far too much ({dropped} notifications dropped): its firmware is faulty")]
    Flooding {
        /// Dropped so far.
        dropped: u64,
    },
}

/// Why a session is over.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EndReason {
    /// Asked to.
    #[error("stopped")]
    Stopped,
    /// Only a person can mend it.
    #[error(transparent)]
    NeedsPerson(#[from] LinkError),
    /// Searched as long as the policy allows.
    #[error("gave up after {searched_ms} ms: {reason}")]
    GaveUp {
        /// How long it was not following, ms.
        searched_ms: u64,
        /// The last reason.
        reason: Reason,
    },
    /// One peripheral gave two serial numbers.
    #[error(
        "peripheral {id} gave serial number {was} and now {now}: refused, since its data could belong to another system; if the controller was exchanged, start again with the new serial number"
    )]
    SerialChanged {
        /// Peripheral.
        id: PeripheralId,
        /// Serial at first.
        was: Serial,
        /// Serial now.
        now: Serial,
    },
}
