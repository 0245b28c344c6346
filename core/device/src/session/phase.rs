//! Where a session stands.

use super::{EndReason, PeripheralId, Reason};

/// Where a session stands, as the outside sees it. Later phases are nearer to following, up to
/// [`Phase::Following`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Phase {
    /// Not started.
    Idle,
    /// Looking for the controller.
    Searching,
    /// Connecting.
    Connecting(PeripheralId),
    /// Reading serial, nameplate and status.
    ReadingNameplate(PeripheralId),
    /// Asking for live frames.
    Subscribing(PeripheralId),
    /// Live frames come.
    Following(PeripheralId),
    /// Resting before the next try.
    WaitingToTryAgain {
        /// Why.
        reason: Reason,
        /// When the rest is over, ms of the session's clock.
        until_ms: u64,
    },
    /// Over.
    Ended(EndReason),
}

impl Phase {
    /// The peripheral that this phase is about.
    pub fn peripheral(&self) -> Option<&PeripheralId> {
        match self {
            Phase::Connecting(id)
            | Phase::ReadingNameplate(id)
            | Phase::Subscribing(id)
            | Phase::Following(id) => Some(id),
            _ => None,
        }
    }
}
