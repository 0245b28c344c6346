//! The controller's state and the flags it raises.

use serde::{Deserialize, Serialize};

/// What the controller says it is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PumpState {
    /// The motor turns.
    Running,
    /// A start is being tried.
    Starting,
    /// A stop that is meant to end by itself or by a switch.
    Stopped,
    /// A protective stop.
    Tripped,
}

impl PumpState {
    /// All states.
    pub const ALL: [PumpState; 4] =
        [PumpState::Running, PumpState::Starting, PumpState::Stopped, PumpState::Tripped];

    /// Code in files.
    pub const fn code(self) -> &'static str {
        match self {
            PumpState::Running => "running",
            PumpState::Starting => "starting",
            PumpState::Stopped => "stopped",
            PumpState::Tripped => "tripped",
        }
    }

    /// The state with this code.
    pub fn from_code(code: &str) -> Option<PumpState> {
        Self::ALL.into_iter().find(|s| s.code() == code)
    }
}

/// One flag token. The discriminant is its bit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[repr(u8)]
pub enum Flag {
    /// The dry input is on, or its restart delay still runs.
    DryProbe,
    /// The tank-full input is on.
    TankFull,
    /// Switched off by a person or a remote input.
    SwitchedOff,
    /// Too little power for the speed.
    UnderLoad,
    /// Output current over its limit.
    OverCurrent,
    /// Controller too hot.
    OverTemperature,
    /// DC voltage too low.
    UnderVoltage,
    /// DC voltage too high.
    OverVoltage,
    /// The rotor does not follow.
    Stall,
    /// An output phase carries nothing.
    PhaseLoss,
    /// Leakage to ground.
    GroundFault,
    /// The array cannot carry the lowest speed.
    LowPower,
    /// The controller's own link to a sensor or display is lost.
    CommsLost,
}

impl Flag {
    /// All flags, lowest bit first.
    pub const ALL: [Flag; 13] = [
        Flag::DryProbe,
        Flag::TankFull,
        Flag::SwitchedOff,
        Flag::UnderLoad,
        Flag::OverCurrent,
        Flag::OverTemperature,
        Flag::UnderVoltage,
        Flag::OverVoltage,
        Flag::Stall,
        Flag::PhaseLoss,
        Flag::GroundFault,
        Flag::LowPower,
        Flag::CommsLost,
    ];

    /// Token in files.
    pub const fn code(self) -> &'static str {
        match self {
            Flag::DryProbe => "dry_probe",
            Flag::TankFull => "tank_full",
            Flag::SwitchedOff => "switched_off",
            Flag::UnderLoad => "under_load",
            Flag::OverCurrent => "over_current",
            Flag::OverTemperature => "over_temperature",
            Flag::UnderVoltage => "under_voltage",
            Flag::OverVoltage => "over_voltage",
            Flag::Stall => "stall",
            Flag::PhaseLoss => "phase_loss",
            Flag::GroundFault => "ground_fault",
            Flag::LowPower => "low_power",
            Flag::CommsLost => "comms_lost",
        }
    }

    /// The flag with this token.
    pub fn from_code(code: &str) -> Option<Flag> {
        Self::ALL.into_iter().find(|f| f.code() == code)
    }
}

/// A set of flags.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Flags(u16);

impl Flags {
    /// No flag.
    pub const NONE: Flags = Flags(0);

    /// From the bits of a frame; unknown bits are dropped.
    pub const fn from_bits(bits: u16) -> Flags {
        Flags(bits & ((1 << Flag::ALL.len()) - 1))
    }

    /// As bits.
    pub const fn bits(self) -> u16 {
        self.0
    }

    /// True when the flag is set.
    pub const fn has(self, flag: Flag) -> bool {
        self.0 & (1 << flag as u8) != 0
    }

    /// True when none is set.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// This set with one more flag.
    #[must_use]
    pub const fn with(self, flag: Flag) -> Flags {
        Flags(self.0 | (1 << flag as u8))
    }

    /// The flags that are set.
    pub fn iter(self) -> impl Iterator<Item = Flag> {
        Flag::ALL.into_iter().filter(move |f| self.has(*f))
    }

    /// Space-separated tokens, as in the telemetry file.
    pub fn to_tokens(self) -> String {
        self.iter().map(Flag::code).collect::<Vec<_>>().join(" ")
    }

    /// From space-separated tokens; the first unknown token is the error.
    pub fn from_tokens(text: &str) -> Result<Flags, String> {
        text.split_whitespace().try_fold(Flags::NONE, |set, token| {
            Flag::from_code(token).map(|f| set.with(f)).ok_or_else(|| token.to_owned())
        })
    }
}

impl FromIterator<Flag> for Flags {
    fn from_iter<I: IntoIterator<Item = Flag>>(iter: I) -> Flags {
        iter.into_iter().fold(Flags::NONE, Flags::with)
    }
}
