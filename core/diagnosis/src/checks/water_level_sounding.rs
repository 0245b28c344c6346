//! Depth to water while running.
//!
//! Parts a dry well and a clogged screen from everything above the pump; against the resting sounding, a level
//! that fell from a well that lets less in. A level sensor that reads wrong does not move it. Error: the tape 0.2 m;
//! the record 1.1 m (more where it holds none) and a quarter of the drawdown, less where a sensor has told it.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::load::Load;
use wellwright_physics::plant::Plant;

use super::resting_level::{by_sounding, fall_sigma_m};
use super::{CannotBe, CheckModel, Foreseen, Prediction};

/// Tape and reading it, m.
const TAPE_M: f64 = 0.2;

/// Where the well gives too little, so often the level stands near the intake when somebody sounds it (engineering
/// judgement: people work in good sun).
const HUNTS: f64 = 0.6;

/// No well is so much deeper than its intake is recorded, share (engineering judgement): feet taken for metres are.
const DEEPER: f64 = 1.4;

/// Water far below a pump that hangs in it.
pub fn below_the_pump(made: &CheckMade, healthy: &Plant) -> Option<CannotBe> {
    let well = &healthy.water.well;
    let depth = made.number("depth_m").filter(|d| *d > DEEPER * well.intake_m)?;
    Some(CannotBe { id: "another_unit", values: [depth, well.static_m] })
}

/// See the module.
pub struct WaterLevelSounding;

impl CheckModel for WaterLevelSounding {
    fn check(&self) -> Check {
        Check::WaterLevelSounding
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let well = &p.healthy.water.well;
        let rest = (well.static_m + p.plant.condition.water.static_deeper_m).min(well.intake_m);
        // where the water rests: as the record has it, or as somebody has sounded it
        let as_recorded = (rest, p.level_m.hypot(p.hypothesis.level_sigma_m));
        let sounded = by_sounding(p, as_recorded);
        let (rests, rest_m) = sounded.unwrap_or(as_recorded);
        let standing = (rests, rest_m.hypot(1.1));
        let by_speed = p.by_speed(|l| l.water.level_m);
        let told = |l: Load| {
            let fall = (l.water.level_m - rest).abs();
            (l.water.level_m + rests - rest, rest_m.hypot(fall_sigma_m(fall)).hypot(by_speed))
        };
        let running = p.load().map_or(standing, told);
        if p.cause() == Cause::WellYieldLimit {
            // it hunts over the last metres above the intake, or the probe; in less sun the level comes back
            return vec![Foreseen::either(HUNTS, (well.intake_m - 2.5, 3.0), running)];
        }
        let reading = p.channel(Channel::WaterLevelM);
        let sensor = p.system().sensors.level_error_m(reading.unwrap_or_default());
        let half = 3f64.sqrt() * p.hypothesis.level_sigma_m;
        if half > 0.0 && sounded.is_none() && reading.is_none() && p.runs_when_watched() >= 1.0 {
            // anywhere in its part of the grid, and no farther
            let edge = p
                .load()
                .map_or(1.5, |l| p.level_m.hypot(fall_sigma_m((l.water.level_m - rest).abs())))
                .hypot(by_speed)
                .hypot(TAPE_M);
            return vec![Foreseen::between(running.0 - half, running.0 + half, edge)];
        }
        let (level, sigma) =
            p.drawn_to(Channel::WaterLevelM, reading, running, sensor.hypot(0.4).hypot(by_speed));
        let running = (level, sigma.hypot(TAPE_M));
        vec![p.by_running(running, standing)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("depth_m")]
    }

    fn cannot_be(&self, made: &CheckMade, healthy: &Plant) -> Option<CannotBe> {
        below_the_pump(made, healthy)
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("m", false))
    }
}
