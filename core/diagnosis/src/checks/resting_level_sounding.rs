//! Depth to water after 30 min of rest.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct RestingLevelSounding;

impl CheckModel for RestingLevelSounding {
    fn check(&self) -> Check {
        Check::RestingLevelSounding
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let well = &p.healthy.water.well;
        let foreseen = if p.cause() == Cause::DryRunning {
            // it may have come back, or not
            let middle = 0.5 * (well.static_m + well.intake_m);
            Foreseen::Number { mean: middle, sigma: (0.4 * (well.intake_m - well.static_m)).max(1.5) }
        } else {
            Foreseen::Number { mean: well.static_m + p.plant.condition.water.static_deeper_m, sigma: 1.2 }
        };
        vec![foreseen]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("depth_m")]
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("m", false))
    }
}
