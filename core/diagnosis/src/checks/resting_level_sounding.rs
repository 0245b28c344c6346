//! Depth to water after 30 min of rest.
//!
//! Parts a resting level that fell from a well that lets less in, whose level comes back. A dry well may have
//! come back or not, but stands no higher than it ever did. Error: the tape and a rest too short 0.3 m, the record
//! 1.15 m (more where it holds none), less where a sensor has told it.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::plant::Plant;

use super::resting_level::{TAPE_M, by_running_level};
use super::water_level_sounding::below_the_pump;
use super::{CannotBe, CheckModel, Foreseen, Prediction};

/// How far a resting level lies from that of the day it was recorded, beside the record's own spread, m.
const SEASON_M: f64 = 0.57;

/// A well that gives too little has so much of its water still to come back, share of the water over the intake
/// (engineering judgement).
const SLOWLY: f64 = 0.12;

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
        let record_m = p.level_m.hypot(SEASON_M);
        let slow = matches!(p.cause(), Cause::DryRunning | Cause::WellYieldLimit);
        let at_rest = p.look.stops.rest_level_m;
        let own = (rest, record_m.hypot(p.hypothesis.level_sigma_m));
        let untold = !slow && at_rest.is_none();
        if let Some((level, sigma)) = untold.then(|| by_running_level(p, own)).flatten() {
            return vec![Foreseen::number(level, sigma.hypot(TAPE_M))];
        }
        vec![match p.cause() {
            Cause::DryRunning => Foreseen::between(well.static_m, well.intake_m, record_m.hypot(TAPE_M)),
            // it comes back, but slowly
            Cause::WellYieldLimit => {
                Foreseen::between(well.static_m, well.static_m + SLOWLY * depth, record_m.hypot(TAPE_M))
            }
            Cause::CloggedScreen => Foreseen::number(rest + 0.4, record_m.hypot(TAPE_M)),
            // anywhere in its part of the grid, and no farther
            _ if p.hypothesis.level_sigma_m > 0.0 && at_rest.is_none() => {
                let half = 3f64.sqrt() * p.hypothesis.level_sigma_m;
                Foreseen::between(rest - half, rest + half, record_m.hypot(TAPE_M))
            }
            _ => {
                let (level, sigma) = p.drawn_to(Channel::WaterLevelM, at_rest, own, 0.6);
                Foreseen::number(level, sigma.hypot(TAPE_M))
            }
        }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("depth_m")]
    }

    fn cannot_be(&self, made: &CheckMade, healthy: &Plant) -> Option<CannotBe> {
        below_the_pump(made, healthy)
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("m", false))
    }
}
