//! Valve closed for under 10 s at steady speed (centrifugal only): the gauge reads the pump's own head less the
//! lift. Checks pump and rotation in one reading; reversed it is about half.

use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::pump::Pump;

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct DeadHeadGauge;

impl CheckModel for DeadHeadGauge {
    fn check(&self) -> Check {
        Check::DeadHeadGauge
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let Pump::Centrifugal(pump) = &p.plant.pump else { return Vec::new() };
        let Some(load) = p.load() else { return Vec::new() };
        let head = pump.head_m(load.rpm, 0.0, &p.plant.condition.pump);
        let kpa = ((head - load.water.level_m) * 9.79).max(0.0);
        vec![Foreseen::Number { mean: kpa, sigma: 0.07 * kpa + 15.0 }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("kpa")]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("kPa", false))
    }
}
