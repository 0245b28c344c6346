//! The causes: one file each, saying what the cause does to the plant.
//!
//! A cause turns into a few [`Hypothesis`] values: the plant changed by one severity, with the weight that
//! the severity has before anything is measured. To add a cause: write its file with a [`CauseModel`] and
//! name it in [`ALL`]; its code, prior and severity range come from the contract's table.

mod closed_valve;
mod dry_running;
mod healthy;
mod high_resistance_joint;
mod low_sun;
mod open_phase;
mod partial_shade;
mod reversed_rotation;
mod standing_by;
mod undersized_drop_cable;
mod unknown;

use wellwright_domain::cause::Cause;
use wellwright_domain::record::System;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::{Condition, Plant};

use crate::predict::outcome::OutcomeTable;

/// A plant changed by one cause at one severity.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    /// Which cause.
    pub cause: Cause,
    /// How bad, in the unit of the table; `None` where the cause has no severity.
    pub severity: Option<f64>,
    /// Share of the cause's prior; the weights of one cause sum to 1.
    pub weight: f64,
    /// What is wrong with the plant.
    pub condition: Condition,
    /// What the controller does, when it is not what the physics of the plant says.
    pub outcome: Option<OutcomeTable>,
    /// How loosely the electrical side of the load follows the model, 1 sigma of ln (0: as usual).
    pub loose_electrical: f64,
    /// How far the torque may lie from what the hypothesis says, 1 sigma of ln; shared by the window.
    pub torque_sigma: f64,
    /// How much the torque changes from moment to moment, 1 sigma of ln.
    pub torque_scatter: f64,
    /// The three currents over their mean, when the cause fixes them (bad lead first).
    pub unbalance: Option<[f64; 3]>,
}

impl Hypothesis {
    /// The plant as recorded, under the name of `cause`.
    pub fn new(cause: Cause) -> Hypothesis {
        Hypothesis {
            cause,
            severity: None,
            weight: 1.0,
            condition: Condition::default(),
            outcome: None,
            loose_electrical: 0.0,
            torque_sigma: 0.0,
            torque_scatter: 0.0,
            unbalance: None,
        }
    }

    /// With a severity.
    #[must_use]
    pub fn at(mut self, severity: f64) -> Hypothesis {
        self.severity = Some(severity);
        self
    }

    /// With a changed plant.
    #[must_use]
    pub fn with(mut self, change: impl FnOnce(&mut Condition)) -> Hypothesis {
        change(&mut self.condition);
        self
    }
}

/// What a cause may look at to decide what it does.
pub struct Context<'a> {
    /// Record.
    pub system: &'a System,
    /// Healthy plant.
    pub plant: &'a Plant,
    /// Flow of the healthy plant at 900 W/m2, m3/h (the contract's reference for "flow still passing").
    pub reference_flow_m3_h: f64,
    /// That moment.
    pub reference: Moment,
}

impl<'a> Context<'a> {
    /// Prepares what all causes share.
    pub fn new(system: &'a System, plant: &'a Plant) -> Context<'a> {
        let reference = Moment {
            irradiance_w_m2: 900.0,
            cell_c: 50.0,
            level: Level::After { minutes: plant.water.well.at_min },
            heat_share: 1.0,
        };
        let flow = plant.operating_point(&reference).load.map_or(0.1, |l| l.water.pump_m3_h);
        Context { system, plant, reference_flow_m3_h: flow.max(0.05), reference }
    }

    /// Rated phase voltage, V: Ke x rated speed / sqrt 3.
    pub fn rated_phase_v(&self) -> f64 {
        self.plant.motor.ke_v_per_krpm * self.plant.motor.rated_rpm / 1000.0 / 3f64.sqrt()
    }
}

/// What one cause does.
pub trait CauseModel: Sync {
    /// Which cause.
    fn cause(&self) -> Cause;

    /// Its hypotheses. Weights are normalised by the caller.
    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis>;
}

/// Every cause that is modelled.
pub static ALL: &[&dyn CauseModel] = &[
    &healthy::Healthy,
    &low_sun::LowSun,
    &standing_by::StandingBy,
    &reversed_rotation::ReversedRotation,
    &open_phase::OpenPhase,
    &high_resistance_joint::HighResistanceJoint,
    &undersized_drop_cable::UndersizedDropCable,
    &dry_running::DryRunning,
    &closed_valve::ClosedValve,
    &partial_shade::PartialShade,
    &unknown::Unknown,
];

/// `n` values from `low` to `high` with equal steps of the logarithm.
fn log_grid(low: f64, high: f64, n: usize) -> impl Iterator<Item = f64> {
    let step = (high / low).ln() / (n - 1) as f64;
    (0..n).map(move |k| low * (step * k as f64).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_stands_once() {
        for (i, a) in ALL.iter().enumerate() {
            assert!(ALL[i + 1..].iter().all(|b| b.cause() != a.cause()), "{:?}", a.cause());
        }
    }

    #[test]
    fn a_severity_lies_in_the_range_of_the_table() {
        let system = wellwright_domain::examples::dovecote_bend();
        let (plant, _) = Plant::from_record(&system).unwrap();
        let context = Context::new(&system, &plant);
        for model in ALL {
            let range = model.cause().info().severity.as_ref();
            for h in model.hypotheses(&context) {
                match (h.severity, range) {
                    (Some(s), Some(r)) => {
                        assert!(s >= r.low - 1e-9 && s <= r.high + 1e-9, "{:?} {s}", h.cause);
                    }
                    (None, None) => {}
                    other => panic!("{:?}: {other:?}", h.cause),
                }
            }
        }
    }
}
