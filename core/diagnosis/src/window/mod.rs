//! From rows to what can be compared: steady points while it runs, and what happened when it did not.
//!
//! Rows are never evidence by themselves: neighbouring rows share every error. A window becomes a handful
//! of steady points (means over stretches at nearly one speed) and a count of what kinds of stop occurred.

mod recent;
mod starts;
mod steady;
mod stops;

pub use recent::recent;
pub use starts::Start;
pub use steady::Steady;
pub use stops::{Outcome, Stops};

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

/// What a window of telemetry comes down to.
#[derive(Debug, Clone)]
pub struct Look {
    /// First and last row.
    pub span: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
    /// Rows given.
    pub rows: usize,
    /// Rows that entered the arithmetic.
    pub used: usize,
    /// Steady points while running, in time order.
    pub steady: Vec<Steady>,
    /// What happened when it did not run.
    pub stops: Stops,
    /// Starts after a rest inside the window.
    pub starts: Vec<Start>,
    /// Channels with at least one plausible value.
    seen: [bool; Channel::COUNT],
}

impl Look {
    /// Looks at a window. `sun_up` tells whether the sun is high enough at an instant for the pump to be
    /// expected to run.
    pub fn new(samples: &[Sample], sun_up: impl Fn(DateTime<FixedOffset>) -> bool) -> Look {
        let mut seen = [false; Channel::COUNT];
        for s in samples {
            for c in Channel::ALL {
                seen[c as usize] |= s.get(c).is_some();
            }
        }
        let (steady, in_steady) = steady::steady_points(samples);
        let stops = stops::look_at_stops(samples, sun_up);
        let used = (in_steady + stops.rows_used).min(samples.len());
        Look {
            span: samples.first().zip(samples.last()).map(|(a, b)| (a.at, b.at)),
            rows: samples.len(),
            used,
            steady,
            stops,
            starts: starts::starts(samples),
            seen,
        }
    }

    /// True when the channel gave at least one plausible value.
    pub fn has(&self, channel: Channel) -> bool {
        self.seen[channel as usize]
    }
}
