//! From rows to what can be compared: steady points while it runs, and what happened when it did not.
//!
//! Rows are never evidence by themselves: neighbouring rows share every error. A window becomes a handful
//! of steady points (means over stretches at nearly one speed) and a count of what kinds of stop occurred.

mod filling;
mod levels;
mod lit;
mod onset;
mod outcome;
mod recent;
mod starts;
mod steady;
mod stops;
mod unsteady;

pub use lit::Lit;
pub use outcome::Outcome;
pub use recent::recent;
pub use starts::Start;
pub use steady::{MEANS_BEYOND_S, PHASES, RUNS_ALREADY, Steady};
pub use stops::{Stops, is_senseless};
pub use unsteady::{Scatter, Unsteady};

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
    /// How much the readings vary at one speed.
    pub unsteady: Unsteady,
    /// What each channel told.
    told: [Told; Channel::COUNT],
}

/// How many values one channel told.
#[derive(Debug, Clone, Copy, Default)]
struct Told {
    plausible: usize,
    /// Outside its physical range.
    impossible: usize,
}

impl Look {
    /// Looks at a window. `sun_up` tells whether the sun is high enough at an instant for the pump to be
    /// expected to run.
    pub fn new(samples: &[Sample], sun_up: impl Fn(DateTime<FixedOffset>) -> bool) -> Look {
        let mut told = [Told::default(); Channel::COUNT];
        for s in samples {
            for c in Channel::ALL {
                told[c as usize].plausible += usize::from(s.get(c).is_some());
            }
            for (c, _) in s.implausible() {
                told[c as usize].impossible += 1;
            }
        }
        let (steady, in_steady) = steady::steady_points(samples);
        let unsteady = unsteady::middle(&steady.iter().map(|p| p.unsteady).collect::<Vec<_>>());
        let stops = stops::look_at_stops(samples, sun_up);
        let used = (in_steady + stops.rows_used).min(samples.len());
        Look {
            span: samples.first().zip(samples.last()).map(|(a, b)| (a.at, b.at)),
            rows: samples.len(),
            used,
            steady,
            stops,
            starts: starts::starts(samples),
            unsteady,
            told,
        }
    }

    /// A look at rows whose speeds are guesses from their power.
    #[must_use]
    pub fn guessing_speed(mut self) -> Look {
        for p in &mut self.steady {
            p.guessed_by_w = p.dc_w();
        }
        self
    }

    /// True when the channel gave at least one plausible value.
    pub fn has(&self, channel: Channel) -> bool {
        self.told[channel as usize].plausible > 0
    }

    /// True when there is such a sensor, whatever it told.
    pub fn is_fitted(&self, channel: Channel) -> bool {
        self.has(channel) || self.tells_nonsense(channel)
    }

    /// A look at rows in which nothing is left of a channel, that still knows from the look `before` that there is
    /// such a sensor: other readings refute it.
    #[must_use]
    pub fn without(mut self, channel: Channel, before: &Look) -> Look {
        let told = before.told[channel as usize];
        self.told[channel as usize] = Told { plausible: 0, impossible: told.plausible + told.impossible };
        self
    }

    /// True when most of what the channel told cannot be: not a glitch, the sensor itself.
    pub fn tells_nonsense(&self, channel: Channel) -> bool {
        let told = self.told[channel as usize];
        told.impossible > told.plausible.max(GLITCHES)
    }
}

/// The value below which a share of all lies, 0.5 the middle one; `None` of none.
pub fn share_below(values: impl IntoIterator<Item = f64>, share: f64) -> Option<f64> {
    let mut values: Vec<f64> = values.into_iter().collect();
    values.sort_by(f64::total_cmp);
    values.get((share * values.len() as f64) as usize).copied()
}

/// So many impossible values may be glitches.
const GLITCHES: usize = 2;
