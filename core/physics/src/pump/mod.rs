//! Pump ends: head and torque at a speed and flow, forwards and backwards.

pub mod back_flow;
pub mod centrifugal;
mod curve;
pub mod helical;
mod power_law;

pub use centrifugal::Centrifugal;
pub use helical::HelicalRotor;
pub use power_law::{PowerLaw, specific_speed};

/// Which way the shaft turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rotation {
    /// As meant.
    #[default]
    Forward,
    /// Backwards: two leads are exchanged.
    Reversed,
}

/// The pump end of a plant.
#[derive(Debug, Clone, PartialEq)]
pub enum Pump {
    /// Multistage centrifugal.
    Centrifugal(Centrifugal),
    /// Helical rotor.
    Helical(HelicalRotor),
}

/// What is wrong inside the pump end; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpCondition {
    /// Which way it turns.
    pub rotation: Rotation,
    /// Head (centrifugal) or volume (helical rotor) lost to worn clearances, 0..1 at the best point.
    pub wear: f64,
    /// Share of what wear costs that runs back inside the pump, 0..1, and so still takes its torque (centrifugal).
    pub runs_back: f64,
    /// Share of the flow capacity lost to a blocked strainer or impellers, 0..1.
    pub blockage: f64,
    /// Share of the flow lost to gas, 0..1 (centrifugal).
    pub gas: f64,
    /// Ratio of head (centrifugal) or displacement (helical rotor) to the record's.
    pub size_ratio: f64,
    /// Ratio of hydraulic efficiency to the record's.
    pub efficiency_ratio: f64,
    /// Ratio of shaft power at no flow to the record's (centrifugal); fades out towards the best point.
    pub shutoff_ratio: f64,
    /// The pump takes air: `Some(share)` is the torque left, as a share of the best point's (centrifugal)
    /// or of the running friction (helical rotor).
    pub dry_torque_share: Option<f64>,
    /// The shaft between motor and pump is broken.
    pub uncoupled: bool,
}

impl Default for PumpCondition {
    fn default() -> Self {
        PumpCondition {
            rotation: Rotation::Forward,
            wear: 0.0,
            runs_back: 0.0,
            blockage: 0.0,
            gas: 0.0,
            size_ratio: 1.0,
            efficiency_ratio: 1.0,
            shutoff_ratio: 1.0,
            dry_torque_share: None,
            uncoupled: false,
        }
    }
}

impl PumpCondition {
    /// True when the pump cannot move water at all.
    pub fn moves_nothing(&self) -> bool {
        self.dry_torque_share.is_some() || self.uncoupled
    }
}
