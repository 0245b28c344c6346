//! What each channel would read: the load side at the measured speed, stacked over steady points.
//!
//! The controller tells the speed it commands without error, so the load side is compared *at the measured
//! speed*: there the prediction is smooth, whatever held the speed there. What the sun should have allowed is
//! compared apart ([`crate::predict::sun`]).

pub mod as_seen;
pub mod climate;
pub mod column;
mod measured;
pub mod outcome;
pub mod peaks;
pub mod sky;
pub mod speed;
pub mod sun;

pub use measured::{Measured, Row};

use wellwright_domain::channel::Channel;
use wellwright_domain::record::System;
use wellwright_physics::constants::WATER_C;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::plant::{Assumed, Plant};

/// What a clean array of sound modules takes of the light, over what its data sheet says: glass at an angle and
/// under a diffuse sky 1.5 %, mismatch 1 %, a little dirt (common practice, no single source).
const ARRAY_SHARE: f64 = 0.97;

/// What a drive's current sensors read over the current that makes torque: ripple and angle error (engineering
/// judgement).
pub const RIPPLE: f64 = 1.02;

/// The magnets of a running motor lie this much above the water, K (engineering judgement: the rotor stays cooler
/// than the winding), and lose 0.1 % of their flux a kelvin over 20 degC (neodymium iron boron; from memory).
const MAGNET_RISE_K: f64 = 20.0;
const FLUX_PER_K: f64 = -0.001;

/// The plant of a record as it ordinarily is when healthy, and what had to be assumed.
///
/// Errors: as [`Plant::from_record`].
pub fn healthy_plant(system: &System) -> Result<(Plant, Vec<Assumed>), PhysicsError> {
    let (mut plant, assumed) = Plant::from_record(system)?;
    plant.array.current_share *= ARRAY_SHARE;
    let water_c = system.well.water_c.unwrap_or(WATER_C);
    plant.motor.ke_v_per_krpm *= 1.0 + FLUX_PER_K * (water_c + MAGNET_RISE_K - 20.0);
    Ok((plant, assumed))
}

/// A quantity compared on the load side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Logarithm of DC power.
    Power,
    /// Logarithm of mean phase current.
    PhaseCurrent,
    /// Logarithm of the output voltage.
    OutputVoltage,
    /// Flow, m3/h.
    Flow,
    /// Wellhead pressure, kPa.
    Pressure,
    /// Water level, m.
    Level,
}

impl Quantity {
    /// The channel that carries it, for evidence.
    pub fn channel(self) -> Channel {
        match self {
            Quantity::Power => Channel::ArrayA,
            Quantity::PhaseCurrent => Channel::PhaseUA,
            Quantity::OutputVoltage => Channel::OutputV,
            Quantity::Flow => Channel::FlowM3H,
            Quantity::Pressure => Channel::WellheadKpa,
            Quantity::Level => Channel::WaterLevelM,
        }
    }

    /// True when the comparison is of logarithms.
    pub fn is_log(self) -> bool {
        matches!(self, Quantity::Power | Quantity::PhaseCurrent | Quantity::OutputVoltage)
    }
}

/// A flow that stands for the size of the pump: healthy, at its highest speed, m3/h.
pub fn reference_flow(plant: &Plant) -> f64 {
    let load =
        plant.load_at(0.95 * plant.controller.max_rpm, Level::After { minutes: plant.water.well.at_min });
    load.water.pump_m3_h.max(0.05)
}
