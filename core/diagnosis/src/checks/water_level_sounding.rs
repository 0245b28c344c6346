//! Depth to water while running.
//!
//! Parts a dry well and a clogged screen from everything above the pump; against the resting sounding, a level
//! that fell from a well that lets less in. A level sensor that reads wrong does not move it. Error: 1.1 m from
//! record and tape, a quarter of the drawdown.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct WaterLevelSounding;

impl CheckModel for WaterLevelSounding {
    fn check(&self) -> Check {
        Check::WaterLevelSounding
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let well = &p.healthy.water.well;
        let rest = (well.static_m + p.plant.condition.water.static_deeper_m).min(well.intake_m);
        let standing = (rest, 1.5);
        let running = match (p.cause(), p.load()) {
            // it hunts over the last metres above the intake, or the probe
            (Cause::WellYieldLimit, _) => (well.intake_m - 2.5, 3.0),
            (_, Some(l)) => {
                let fall = (l.water.level_m - well.static_m).abs();
                (l.water.level_m, 1.1f64.hypot(0.25 * fall.min(20.0)))
            }
            (_, None) => standing,
        };
        vec![p.by_running(running, standing)]
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
