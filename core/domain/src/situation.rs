//! The circumstances of a look: when in the life of the system, what was touched, what was noticed.

use serde::{Deserialize, Serialize};

/// When in the life of the system. Priors of causes differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Situation {
    /// It has never run as built.
    FirstStart,
    /// Something was repaired or exchanged since it last ran well.
    AfterRepair,
    /// It ran well before, and nothing was touched that is known.
    #[default]
    InService,
}

impl Situation {
    /// All, in the order of the columns of priors.
    pub const ALL: [Situation; 3] = [Situation::FirstStart, Situation::AfterRepair, Situation::InService];
}

/// A part that somebody worked on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Touched {
    Joint,
    Cable,
    Pump,
    Motor,
    Controller,
    Array,
    Pipework,
    Well,
    Tank,
    Probe,
    Sensor,
}

/// What the person noticed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Noticed {
    NoWater,
    LessWater,
    StopsAndStarts,
    Noise,
    Hot,
    WetGround,
    WaterLate,
    MuddyWater,
}
