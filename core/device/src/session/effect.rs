//! What a session wants done, and what it tells.

use super::{Card, EndReason, PeripheralId, Phase};
use crate::frame::LiveFrame;
use crate::part::FaultCounts;

/// A live frame and when it came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Received {
    /// When its last part came, ms of the session's clock.
    pub at_ms: u64,
    /// Decoded.
    pub frame: LiveFrame,
    /// Its bytes, to be kept so that a better decoder can read them again.
    pub raw: Vec<u8>,
}

/// Something worth telling that is no change of state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// Notifications that could not be used, all since the session began.
    Faults(FaultCounts),
    /// Notifications lost between radio and session because it could not keep up, all since it began.
    Overflow {
        /// How many.
        lost: u64,
    },
    /// Notifications dropped because too many came, all since the session began.
    Flood {
        /// How many.
        dropped: u64,
    },
    /// Frames that came twice or too late and were left out, all since the session began.
    Repeated {
        /// How many.
        frames: u64,
    },
    /// The controller restarted: frames between its last and the restart cannot be counted.
    Restarted {
        /// Boot counter before.
        was: u16,
        /// Boot counter now.
        now: u16,
    },
    /// Another controller than the one looked for; it is left alone.
    NotThisOne {
        /// Peripheral.
        id: PeripheralId,
        /// Its serial.
        serial: crate::identity::Serial,
    },
}

/// What to do, in order. The first five are for the link; the rest is told outside.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Look for peripherals that advertise our service.
    StartSearch,
    /// Stop looking.
    StopSearch,
    /// Connect and discover services; answer with `Connected` or `Failed`.
    Connect {
        /// Number of the attempt.
        attempt: u32,
        /// Peripheral.
        id: PeripheralId,
    },
    /// Read serial, nameplate and status; answer with `CardRead` or `Failed`.
    ReadCard {
        /// Number of the attempt.
        attempt: u32,
    },
    /// Subscribe to LIVE; answer with `Subscribed` or `Failed`.
    Subscribe {
        /// Number of the attempt.
        attempt: u32,
    },
    /// Give up the connection and whatever is under way on it.
    Disconnect,
    /// The state is now this.
    Phase(Phase),
    /// Who it is; once after each connection.
    Identified(Box<Card>),
    /// A new frame, in order, never twice.
    Deliver(Box<Received>),
    /// Frames of one boot that were sent and never came, before the next `Deliver`.
    Gap {
        /// First number that is missing.
        from: u32,
        /// Last number that is missing.
        to: u32,
        /// How many.
        lost: u32,
    },
    /// Worth telling.
    Notice(Notice),
    /// Over; nothing follows.
    Ended(EndReason),
}
