//! What a session can be told.

use super::{PeripheralId, RawCard, Sighting};
use crate::link::LinkError;

/// One thing that happened. `attempt` is the number in the effect that is answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// Begin.
    Start,
    /// End.
    Stop,
    /// Time passed: nothing else happened until [`Session::deadline`](super::Session::deadline).
    Tick,
    /// The search could not begin.
    SearchFailed(LinkError),
    /// Our service was advertised.
    Seen(Sighting),
    /// Connected, services discovered.
    Connected {
        /// Number of the attempt.
        attempt: u32,
    },
    /// Serial, nameplate and status were read.
    CardRead {
        /// Number of the attempt.
        attempt: u32,
        /// The bytes.
        raw: Box<RawCard>,
    },
    /// Live frames will come.
    Subscribed {
        /// Number of the attempt.
        attempt: u32,
    },
    /// Connecting, reading or subscribing failed.
    Failed {
        /// Number of the attempt.
        attempt: u32,
        /// Why.
        error: LinkError,
    },
    /// A notification of LIVE, with the time at which it was taken from the radio, ms.
    Notification {
        /// When it came, ms of the session's clock.
        at_ms: u64,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// The queue between radio and session was full: this many notifications are gone.
    Overflow {
        /// How many.
        lost: u64,
    },
    /// The peripheral is no longer connected.
    LinkLost(PeripheralId),
    /// The radio was switched off.
    RadioOff,
}
