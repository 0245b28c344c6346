//! Depth to water while running.

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct WaterLevelSounding;

impl CheckModel for WaterLevelSounding {
    fn check(&self) -> Check {
        Check::WaterLevelSounding
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let level = match p.load() {
            Some(l) => l.water.level_m,
            None => p.plant.water.well.static_m + p.plant.condition.water.static_deeper_m,
        };
        let fall = (level - p.healthy.water.well.static_m).abs();
        vec![Foreseen::Number { mean: level, sigma: 1.1f64.hypot(0.25 * fall.min(20.0)) }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("depth_m")]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("m", false))
    }
}
