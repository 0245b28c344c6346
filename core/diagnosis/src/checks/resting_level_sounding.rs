//! Depth to water after 30 min of rest.
//!
//! Parts a resting level that fell from a well that lets less in, whose level comes back. A dry well may have
//! come back or not. Error: the tape and a rest too short 0.3 m, the record 1.15 m, less where a sensor has told it.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
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
        let rest = well.static_m + p.plant.condition.water.static_deeper_m;
        let depth = well.intake_m - well.static_m;
        vec![match p.cause() {
            Cause::DryRunning => {
                let middle = 0.5 * (well.static_m + well.intake_m);
                Foreseen::number(middle, (0.4 * depth).max(1.5))
            }
            // it comes back, but slowly
            Cause::WellYieldLimit => Foreseen::either(
                0.7,
                (well.static_m + 0.5, 1.5),
                (well.static_m + 0.15 * depth, 0.15 * depth),
            ),
            Cause::CloggedScreen => Foreseen::number(rest + 0.4, 1.4),
            _ => {
                let own = (rest, 1.15f64.hypot(p.hypothesis.level_sigma_m));
                let reading = p.look.stops.rest_level_m;
                let (level, sigma) = p.drawn_to(Channel::WaterLevelM, reading, own, 0.6);
                Foreseen::number(level, sigma.hypot(0.3))
            }
        }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("depth_m")]
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("m", false))
    }
}
