//! The controller as built: its losses, limits, manners of tracking, starting and stopping.

use wellwright_domain::flags::{Flag, Flags};

/// How a controller takes an open lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpenLead {
    /// Notices it and says so.
    PhaseLoss,
    /// Notices only that the rotor does not follow, or that the current is high.
    Other(Flag),
    /// Does not notice and shows a speed.
    Blind,
}

/// How a controller that gives no output shows itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failed {
    /// It rests and shows these flags, empty or senseless.
    Rests(Flags),
    /// It believes that it starts, without speed or current.
    Starts,
    /// It answers nothing; the logger says so.
    CommsLost,
}

/// A controller. Its manners are independent of each other, so they stay separate.
#[derive(Debug, Clone)]
#[allow(clippy::struct_excessive_bools)]
pub struct Drive {
    /// Taken whenever there is light, W.
    pub standby: f64,
    /// Loss while running that does not depend on power, W.
    pub fixed: f64,
    /// Loss in proportion to output.
    pub linear: f64,
    /// Loss with the square of output, 1/W.
    pub square: f64,
    /// V.
    pub min_v: f64,
    /// W at the output.
    pub max_power: f64,
    /// A rms.
    pub max_a: f64,
    /// rpm.
    pub min_rpm: f64,
    /// rpm.
    pub max_rpm: f64,
    /// Line voltage it can make over its DC voltage.
    pub modulation: f64,
    /// rpm a second when starting and rising.
    pub ramp: f64,
    /// Steady offset of the tracked voltage, share.
    pub track_bias: f64,
    /// Wander of the tracked voltage, share.
    pub track_wander: f64,
    /// Power lost by the ripple of tracking, share.
    pub track_ripple: f64,
    /// Looks for the highest of several peaks, each so many seconds; `None` stays on its peak.
    pub scan_s: Option<f64>,
    /// Tries a start without asking whether the array can carry it.
    pub tries: bool,
    /// Rest after a trip, s.
    pub rest_s: f64,
    /// Rest after too little power, s.
    pub low_rest_s: f64,
    /// Rest after the dry input, s.
    pub dry_rest_s: f64,
    /// Trips below this share of the usual torque.
    pub under_load: Option<f64>,
    /// After so many seconds.
    pub under_load_hold_s: f64,
    /// Usual torque, N m, from its setting.
    pub usual_torque: f64,
    /// The usual torque grows with the square of the speed.
    pub usual_square: bool,
    /// Rated speed of the setting, rpm.
    pub usual_rpm: f64,
    /// What it calls a rotor that does not start.
    pub stall_flag: Flag,
    /// How it takes an open lead.
    pub open_lead: OpenLead,
    /// Heat sink over the air per W of loss, K/W.
    pub heat_k: f64,
    /// Heat sink from which it holds back, degC.
    pub derate_from: f64,
    /// Shows that it holds back by heat.
    pub says_hot: bool,
    /// Trips at this heat-sink temperature, degC.
    pub hot_trip_c: f64,
    /// Heat that it cannot get rid of: K on top, dust in its vents, sun on its back.
    pub hot_k: f64,
    /// The tracker holds this voltage whatever the sun, V.
    pub stuck_v: Option<f64>,
    /// DC arrives, nothing goes out.
    pub failed: Option<Failed>,
    /// Leaks to ground below this many ohm trip it; `None` does not look.
    pub earth_trip_ohm: Option<f64>,
    /// The first row of a trip still lacks the flag.
    pub late_flag: bool,
    /// The first row of a trip still shows the last values.
    pub late_values: bool,
}

impl Drive {
    /// Input power for an output power while running, W.
    pub fn input(&self, out: f64) -> f64 {
        out + self.standby + self.fixed + self.linear * out + self.square * out * out
    }

    /// Share of its power left at a heat-sink temperature.
    pub fn cool_share(&self, heat_c: f64) -> f64 {
        (1.0 - (heat_c - self.derate_from) / 25.0).clamp(0.1, 1.0)
    }

    /// Torque under which it speaks of too little load at a speed, N m.
    pub fn least_torque(&self, n: f64) -> Option<f64> {
        let w = n / self.usual_rpm;
        self.under_load.map(|s| s * self.usual_torque * if self.usual_square { w * w } else { 1.0 })
    }
}
