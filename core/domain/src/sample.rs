//! One row of telemetry: what was said at one instant.

use chrono::{DateTime, FixedOffset};

use crate::channel::Channel;
use crate::flags::{Flags, PumpState};

/// What the controller and the sensors said at one instant.
///
/// `None` is "not known"; it is never zero. A value outside its channel's physical range is kept here
/// and left out by [`Sample::get`].
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Instant, with the offset it was written in.
    pub at: DateTime<FixedOffset>,
    /// State, when the controller tells it.
    pub state: Option<PumpState>,
    /// Flags, when the controller tells them (an empty set is "none raised").
    pub flags: Option<Flags>,
    values: [Option<f64>; Channel::COUNT],
}

impl Sample {
    /// An empty row at an instant.
    pub fn new(at: DateTime<FixedOffset>) -> Sample {
        Sample { at, state: None, flags: None, values: [None; Channel::COUNT] }
    }

    /// The value as it was said, plausible or not.
    pub fn raw(&self, channel: Channel) -> Option<f64> {
        self.values[channel as usize]
    }

    /// The value if it is physically possible.
    pub fn get(&self, channel: Channel) -> Option<f64> {
        self.raw(channel).filter(|v| channel.is_plausible(*v))
    }

    /// Sets or clears a value.
    pub fn set(&mut self, channel: Channel, value: Option<f64>) {
        self.values[channel as usize] = value;
    }

    /// This row with one value more.
    #[must_use]
    pub fn with(mut self, channel: Channel, value: f64) -> Sample {
        self.set(channel, Some(value));
        self
    }

    /// True when the speed says that the motor turns.
    pub fn turns(&self) -> bool {
        self.get(Channel::MotorRpm).is_some_and(|n| n > 0.0)
    }

    /// True when the controller says that it runs; where it tells no state, when the motor turns.
    pub fn runs(&self) -> bool {
        self.state.map_or_else(|| self.turns(), |state| state == PumpState::Running)
    }

    /// Values that were said and cannot be true.
    pub fn implausible(&self) -> impl Iterator<Item = (Channel, f64)> + '_ {
        Channel::ALL.into_iter().filter_map(|c| self.raw(c).filter(|v| !c.is_plausible(*v)).map(|v| (c, v)))
    }
}
