//! The causes: one file each, saying what the cause does to the plant.
//!
//! A cause turns into a few [`Hypothesis`] values: the plant changed by one severity, with the weight that
//! the severity has before anything is measured. To add a cause: write its file with a [`CauseModel`] and
//! name it in [`ALL`]; its code, prior and severity range come from the contract's table.

mod blocked_intake;
mod blocked_riser;
mod broken_shaft;
mod check_valve_leak;
mod clock_error;
mod clogged_screen;
mod closed_valve;
mod controller_failed;
mod controller_overheating;
mod dc_side_loss;
mod dry_running;
mod equipment_mismatch;
mod false_dry_signal;
mod flow_meter_error;
mod gas_in_water;
mod healthy;
mod high_resistance_joint;
mod hypothesis;
mod insulation_fault;
mod irradiance_sensor_error;
mod level_sensor_error;
mod limit_set_low;
mod low_sun;
mod mechanical_drag;
mod narrowed_pipe;
mod no_dc_supply;
mod open_phase;
mod open_string;
mod partial_shade;
mod power_tracking_stuck;
mod pressure_sensor_error;
mod record_mismatch;
mod reversed_rotation;
mod riser_leak;
mod seized_pump;
mod shorted_bypass;
mod soiling;
mod standing_by;
mod static_level_drop;
mod stuck_float;
mod undersized_drop_cable;
mod unknown;
mod weak_magnets;
mod well_yield_limit;
mod winding_fault;
mod worn_pump;

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};
use wellwright_physics::plant::Condition;

pub use hypothesis::{Context, Hold, Hypothesis, Loose, LooseLoad, SensorWrong};

/// What one cause does.
pub trait CauseModel: Sync {
    /// Which cause.
    fn cause(&self) -> Cause;

    /// Parts whose handling can bring it about, and how strongly having handled one points to it (engineering
    /// judgement). None: no work does.
    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[]
    }

    /// What people notice with it more often than without, and how often (engineering judgement).
    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[]
    }

    /// Water that is left, share of a healthy plant's, where physics is not to be asked: nothing turns, or something
    /// only tells otherwise.
    fn water(&self) -> Option<f64> {
        None
    }

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
    &dc_side_loss::DcSideLoss,
    &insulation_fault::InsulationFault,
    &winding_fault::WindingFault,
    &weak_magnets::WeakMagnets,
    &dry_running::DryRunning,
    &well_yield_limit::WellYieldLimit,
    &static_level_drop::StaticLevelDrop,
    &clogged_screen::CloggedScreen,
    &closed_valve::ClosedValve,
    &narrowed_pipe::NarrowedPipe,
    &riser_leak::RiserLeak,
    &check_valve_leak::CheckValveLeak,
    &worn_pump::WornPump,
    &blocked_intake::BlockedIntake,
    &seized_pump::SeizedPump,
    &broken_shaft::BrokenShaft,
    &blocked_riser::BlockedRiser,
    &mechanical_drag::MechanicalDrag,
    &gas_in_water::GasInWater,
    &partial_shade::PartialShade,
    &soiling::Soiling,
    &open_string::OpenString,
    &no_dc_supply::NoDcSupply,
    &shorted_bypass::ShortedBypass,
    &record_mismatch::RecordMismatch,
    &equipment_mismatch::EquipmentMismatch,
    &controller_overheating::ControllerOverheating,
    &controller_failed::ControllerFailed,
    &limit_set_low::LimitSetLow,
    &power_tracking_stuck::PowerTrackingStuck,
    &stuck_float::StuckFloat,
    &false_dry_signal::FalseDrySignal,
    &irradiance_sensor_error::IrradianceSensorError,
    &flow_meter_error::FlowMeterError,
    &level_sensor_error::LevelSensorError,
    &pressure_sensor_error::PressureSensorError,
    &clock_error::ClockError,
    &unknown::Unknown,
];

/// The model of a cause.
pub fn model(cause: Cause) -> &'static dyn CauseModel {
    *ALL.iter().find(|m| m.cause() == cause).unwrap_or(&ALL[ALL.len() - 1])
}

/// A hypothesis for each severity of a rising grid, each standing for half the way to its neighbours.
fn on_grid(
    cause: Cause,
    severities: impl IntoIterator<Item = f64>,
    change: impl Fn(&mut Condition, f64),
) -> Vec<Hypothesis> {
    let grid: Vec<f64> = severities.into_iter().collect();
    let at = |severity: f64| {
        let mut c = Condition::default();
        change(&mut c, severity);
        c
    };
    (0..grid.len())
        .map(|k| {
            let step = if k + 1 < grid.len() { grid[k + 1] - grid[k] } else { grid[k] - grid[k.max(1) - 1] };
            let mut h = Hypothesis::new(cause).at(grid[k]);
            h.condition = at(grid[k]);
            h.edge = Some(at(if k + 1 < grid.len() { grid[k] + 0.5 * step } else { grid[k] - 0.5 * step }));
            h
        })
        .collect()
}

/// A level that falls to the intake now and then keeps its name so often, although the pump then runs dry or the well
/// gives too little by their own names (engineering judgement).
const TO_THE_INTAKE: f64 = 0.02;

/// Each weighed by how well it keeps the intake under water, which the causes of a deeper level are said to do.
fn covered(context: &Context, mut hypotheses: Vec<Hypothesis>) -> Vec<Hypothesis> {
    for h in &mut hypotheses {
        h.weight *= context.keeps_covered(&h.condition).max(TO_THE_INTAKE);
    }
    hypotheses
}

/// `n` values from `low` to `high` with equal steps of the logarithm.
fn log_grid(low: f64, high: f64, n: usize) -> impl Iterator<Item = f64> {
    let step = (high / low).ln() / (n - 1) as f64;
    (0..n).map(move |k| low * (step * k as f64).exp())
}

#[cfg(test)]
mod tests {
    use wellwright_physics::plant::Plant;

    use super::*;

    #[test]
    fn every_cause_stands_once() {
        for (i, a) in ALL.iter().enumerate() {
            assert!(ALL[i + 1..].iter().all(|b| b.cause() != a.cause()), "{:?}", a.cause());
        }
    }

    #[test]
    fn every_cause_of_the_table_is_modelled() {
        for cause in Cause::ALL {
            assert!(ALL.iter().any(|m| m.cause() == *cause), "{cause:?}");
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
