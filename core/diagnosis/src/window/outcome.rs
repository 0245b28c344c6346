//! What a pump may be seen to do, and which flags say so.

use wellwright_domain::flags::{Flag, Flags};

/// What the pump was seen to do when it had the chance to run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// It ran on.
    Runs,
    /// Stopped by the under-load protection.
    UnderLoad,
    /// Stopped by the dry input.
    Dry,
    /// Stopped by over-current or because the rotor did not follow.
    Overload,
    /// Stopped because an output phase carries nothing.
    PhaseLoss,
    /// Stopped by leakage to ground.
    GroundFault,
    /// Stopped by heat.
    TooHot,
    /// DC voltage out of range.
    BadVoltage,
    /// The array could not carry the lowest speed.
    LowPower,
    /// Stopped by a full tank.
    TankFull,
    /// Switched off.
    SwitchedOff,
    /// The link to the controller or its sensor was lost.
    CommsLost,
    /// Stopped and nothing was said why.
    Silent,
    /// Seen only: a protective stop of a kind that no channel tells.
    SomeTrip,
    /// Seen only: it stands, and no channel tells why.
    Stands,
}

/// What each flag stands for, the gravest first.
const BY_FLAG: [(Flag, Outcome); 13] = [
    (Flag::PhaseLoss, Outcome::PhaseLoss),
    (Flag::GroundFault, Outcome::GroundFault),
    (Flag::Stall, Outcome::Overload),
    (Flag::OverCurrent, Outcome::Overload),
    (Flag::DryProbe, Outcome::Dry),
    (Flag::UnderLoad, Outcome::UnderLoad),
    (Flag::OverTemperature, Outcome::TooHot),
    (Flag::TankFull, Outcome::TankFull),
    (Flag::SwitchedOff, Outcome::SwitchedOff),
    (Flag::UnderVoltage, Outcome::BadVoltage),
    (Flag::OverVoltage, Outcome::BadVoltage),
    (Flag::LowPower, Outcome::LowPower),
    (Flag::CommsLost, Outcome::CommsLost),
];

impl Outcome {
    /// All that a controller can do.
    pub const ALL: [Outcome; 13] = [
        Outcome::Runs,
        Outcome::UnderLoad,
        Outcome::Dry,
        Outcome::Overload,
        Outcome::PhaseLoss,
        Outcome::GroundFault,
        Outcome::TooHot,
        Outcome::BadVoltage,
        Outcome::LowPower,
        Outcome::TankFull,
        Outcome::SwitchedOff,
        Outcome::CommsLost,
        Outcome::Silent,
    ];

    /// All that a window can show: where flags are not told, less than what the controller does.
    pub const SEEN: [Outcome; 15] = {
        let mut seen = [Outcome::Stands; 15];
        let mut k = 0;
        while k < Outcome::ALL.len() {
            seen[k] = Outcome::ALL[k];
            k += 1;
        }
        seen[13] = Outcome::SomeTrip;
        seen
    };

    /// Every outcome that this may have been; itself where it is told.
    pub fn may_be(self) -> impl Iterator<Item = Outcome> {
        Outcome::ALL.into_iter().filter(move |o| match self {
            Outcome::SomeTrip => o.is_trip(),
            Outcome::Stands => *o != Outcome::Runs && !o.is_trip(),
            told => *o == told,
        })
    }

    /// What flags stand for: the gravest.
    pub fn of_flags(flags: Flags) -> Option<Outcome> {
        BY_FLAG.iter().find(|(f, _)| flags.has(*f)).map(|(_, o)| *o)
    }

    /// One of the flags stands for it.
    pub fn is_flagged(self, flags: Flags) -> bool {
        BY_FLAG.iter().any(|(f, o)| *o == self && flags.has(*f))
    }

    /// A protective stop.
    pub fn is_trip(self) -> bool {
        matches!(
            self,
            Outcome::UnderLoad
                | Outcome::Dry
                | Outcome::Overload
                | Outcome::PhaseLoss
                | Outcome::GroundFault
                | Outcome::TooHot
                | Outcome::BadVoltage
                | Outcome::SomeTrip
        )
    }

    /// A stop that is meant to stop it.
    pub fn is_meant(self) -> bool {
        matches!(self, Outcome::TankFull | Outcome::SwitchedOff)
    }

    /// Stable word for evidence.
    pub fn code(self) -> &'static str {
        match self {
            Outcome::Runs => "runs",
            Outcome::UnderLoad => "under_load",
            Outcome::Dry => "dry_probe",
            Outcome::Overload => "over_current",
            Outcome::PhaseLoss => "phase_loss",
            Outcome::GroundFault => "ground_fault",
            Outcome::TooHot => "over_temperature",
            Outcome::BadVoltage => "voltage_out_of_range",
            Outcome::LowPower => "low_power",
            Outcome::TankFull => "tank_full",
            Outcome::SwitchedOff => "switched_off",
            Outcome::CommsLost => "comms_lost",
            Outcome::SomeTrip => "tripped",
            Outcome::Silent | Outcome::Stands => "stopped",
        }
    }
}
