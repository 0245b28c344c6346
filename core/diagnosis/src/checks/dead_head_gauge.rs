//! Valve closed for under 10 s at steady speed (centrifugal only): the gauge reads the pump's own head less the
//! lift.
//!
//! Checks pump and rotation in one reading: worn it lacks three fifths of the share that is worn, reversed it is about
//! half (published four-quadrant data), dry or with a broken shaft nothing. What cannot lift the column leaves it
//! standing on the gauge. A narrow pipe or a level that the record knows do not touch it. A leak below keeps the water
//! moving and the head down. Error: 7 % and 15 kPa.

use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::pump::Pump;

use super::{CheckModel, Foreseen, Prediction};

/// Chance that a column which the pump does not move still stands on the gauge (engineering judgement).
const HELD: f64 = 0.7;

/// Of the head that the share of gas would take at full flow, so much may be more or less at none, 1 sigma
/// (engineering judgement).
const GAS_STAYS: f64 = 0.4;

/// See the module.
pub struct DeadHeadGauge;

impl CheckModel for DeadHeadGauge {
    fn check(&self) -> Check {
        Check::DeadHeadGauge
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let Pump::Centrifugal(pump) = &p.plant.pump else { return vec![Foreseen::number(500.0, 500.0)] };
        let pipes = &p.plant.water.pipes;
        // what does not move is held by the check valve, mostly, or has drained
        let column = pipes.column_kpa().max(0.0);
        let held = Foreseen::either(HELD, (column, 0.05 * column + 15.0), (20.0, 40.0));
        let Some(load) = p.load() else { return vec![held] };
        let water = &p.plant.condition.water;
        let rpm = p.made.and_then(|m| m.number("rpm")).filter(|n| *n > 0.0).unwrap_or(load.rpm);
        // what leaks below the gauge goes on flowing, a little more than before
        let leaking = 1.2 * water.riser_leak_m3_h;
        let turns = rpm * p.plant.condition.lead.true_speed;
        let head = pump.head_m(turns, leaking, &p.plant.condition.pump);
        let kpa = pipes.pressure_kpa(head - load.water.level_m);
        let passes = water.blocked_m_per_m3h2.is_finite();
        if !passes || kpa < column {
            return vec![held];
        }
        // nobody knows how much gas stays in a pump that moves nothing
        let gas = pipes.pressure_kpa(GAS_STAYS * p.plant.condition.pump.gas * head);
        vec![p.by_running((kpa, (0.07 * kpa + 15.0).hypot(gas)), (column, 40.0))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("kpa")]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("kPa", false))
    }
}
