//! How patient a session is, and whom it looks for. All numbers are engineering judgement.

use crate::identity::Serial;
use crate::profile::USUAL_PERIOD;

/// Whom to follow.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Target {
    /// Only the controller with this serial; `None` takes the first in reach and then stays with it.
    pub serial: Option<Serial>,
}

impl Target {
    /// The controller with this serial number.
    pub fn serial(serial: Serial) -> Target {
        Target { serial: Some(serial) }
    }
}

/// Times in ms, and bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Policy {
    /// How long one search may last before a rest.
    pub search_ms: u64,
    /// How long a search waits for a better candidate before it takes one that has failed before.
    pub settle_ms: u64,
    /// How long connecting, service discovery included, may last. BlueZ itself may take 30 s.
    pub connect_ms: u64,
    /// How long reading serial, nameplate and status may last.
    pub read_ms: u64,
    /// How long subscribing may last.
    pub subscribe_ms: u64,
    /// Shortest silence that counts as a fault.
    pub silence_ms: u64,
    /// Silence that counts as a fault, in periods of the live frame, when that is longer.
    pub silence_periods: u64,
    /// First rest after a failure.
    pub first_rest_ms: u64,
    /// Longest rest.
    pub longest_rest_ms: u64,
    /// Part of a rest, 0 to 1, by which it is shortened or lengthened at random, so that several phones do
    /// not knock at the same moment.
    pub jitter: f64,
    /// How long following must last before rests start short again.
    pub settled_ms: u64,
    /// Most notifications in one second; what comes beyond is dropped and counted. `None`: no bound.
    pub notifications_per_s: Option<u32>,
    /// Seconds of flood after which the link is given up.
    pub flood_s: u32,
    /// Search without success for this long, all searches since the last success together, ends the
    /// session. `None`: never.
    pub give_up_ms: Option<u64>,
    /// Shortest time between two notices of the same kind.
    pub notice_every_ms: u64,
}

impl Default for Policy {
    /// For a real radio.
    fn default() -> Policy {
        Policy {
            search_ms: 30_000,
            settle_ms: 2_000,
            connect_ms: 20_000,
            read_ms: 10_000,
            subscribe_ms: 10_000,
            silence_ms: 8_000,
            silence_periods: 5,
            first_rest_ms: 500,
            longest_rest_ms: 30_000,
            jitter: 0.25,
            settled_ms: 10_000,
            notifications_per_s: Some(400),
            flood_s: 10,
            give_up_ms: None,
            notice_every_ms: 1_000,
        }
    }
}

impl Policy {
    /// For a controller in the same process, which may run much faster than time: no bound on the rate and
    /// short rests.
    pub fn in_process() -> Policy {
        Policy { notifications_per_s: None, first_rest_ms: 20, longest_rest_ms: 500, ..Policy::default() }
    }

    /// Silence that counts as a fault for a live frame every `period_ms`, ms.
    pub fn silence_for(&self, period_ms: Option<u16>) -> u64 {
        let period = period_ms.map_or(USUAL_PERIOD.as_millis() as u64, u64::from);
        self.silence_ms.max(self.silence_periods * period)
    }
}
