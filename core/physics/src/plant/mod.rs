//! One system as numbers: what the record says, class values where it is silent, and what is wrong with it.
//!
//! [`Plant::from_record`] is the only way from a record to physics. Whatever the record does not hold is
//! filled from [`assume`] and listed, so that an answer can say how much of it rests on assumption.

pub mod assume;
mod build;
mod check;
pub mod condition;

pub use assume::Assumed;
pub use condition::{ArrayCondition, Condition, ControllerCondition, Shade};

use wellwright_domain::record::{Drive, PumpKind};

use crate::array::Array;
use crate::hydraulics::WaterSide;
use crate::motor::Motor;
use crate::pump::Pump;
use crate::sun::{Horizon, Place, Plane};

/// The drop cable lies this much above the water, K (engineering judgement: most of it hangs in air warmed
/// by the ground, and it carries current).
pub const CABLE_RISE_K: f64 = 8.0;

/// The winding lies this much above the water, K (engineering judgement for a water-cooled motor near
/// rated current).
pub const WINDING_RISE_K: f64 = 35.0;

/// How the array looks at the sky.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Where it stands.
    pub place: Place,
    /// Plane of the array.
    pub plane: Plane,
    /// Horizon.
    pub horizon: Horizon,
}

/// Controller as the model sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Controller {
    /// Drive.
    pub drive: Drive,
    /// Output over input, 0..1.
    pub efficiency: f64,
    /// Own draw, W.
    pub standby_w: f64,
    /// Lowest DC voltage, V.
    pub min_v: f64,
    /// Highest DC voltage, V.
    pub max_v: f64,
    /// Limit of DC power, W.
    pub max_power_w: f64,
    /// Limit of phase current, A rms.
    pub max_phase_a: f64,
    /// Lowest speed, rpm.
    pub min_rpm: f64,
    /// Highest speed, rpm.
    pub max_rpm: f64,
    /// Heat sink temperature from which it holds back, degC.
    pub derate_from_c: f64,
}

/// From where it holds back the controller gives up its power over this much heat, K (engineering judgement:
/// 15 to 25 K, by type).
pub const DERATE_OVER_K: f64 = 20.0;

/// Share of its power that a hot controller keeps at the least (engineering judgement).
pub const HOT_SHARE: f64 = 0.1;

impl Controller {
    /// Share of the power limit that a heat sink of `sink_c` degC leaves, [`HOT_SHARE`] to 1.
    ///
    /// Equation: 1 below `derate_from_c`, then straight down to [`HOT_SHARE`] over [`DERATE_OVER_K`].
    /// Limits: the slope differs from type to type; a reading that is not a number counts as cool.
    pub fn heat_share(&self, sink_c: f64) -> f64 {
        let over = (sink_c - self.derate_from_c).max(0.0);
        (1.0 - (1.0 - HOT_SHARE) * over / DERATE_OVER_K).max(HOT_SHARE)
    }

    /// Highest output voltage over DC voltage: 1/sqrt(2) for space-vector modulation, sqrt(6)/pi for
    /// six-step (fundamental of a square wave); any text on inverters.
    pub fn voltage_ratio(&self) -> f64 {
        match self.drive {
            Drive::FieldOriented => std::f64::consts::FRAC_1_SQRT_2,
            Drive::SixStep => 6f64.sqrt() / std::f64::consts::PI,
        }
    }
}

/// One system as numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// How its array looks at the sky.
    pub view: View,
    /// Kind of pump end.
    pub kind: PumpKind,
    /// Pump end.
    pub pump: Pump,
    /// Motor, at its working temperature.
    pub motor: Motor,
    /// One lead of the drop cable at its working temperature, ohm.
    pub cable_ohm: f64,
    /// Well and pipes.
    pub water: WaterSide,
    /// Array as wired.
    pub array: Array,
    /// Controller.
    pub controller: Controller,
    /// Nominal operating cell temperature, degC.
    pub noct_c: f64,
    /// What is wrong with it.
    pub condition: Condition,
}

impl Plant {
    /// Highest speed as set, rpm: never below the lowest.
    pub fn highest_rpm(&self) -> f64 {
        (self.controller.max_rpm * self.condition.controller.speed_share).max(self.controller.min_rpm)
    }
}
