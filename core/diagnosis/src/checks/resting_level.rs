//! Where the water rests under a hypothesis, once something has told of the same well already.
//!
//! A level that was read while the pump runs and a level at rest are two readings of one well: their difference is the
//! drawdown, and how far the well rests from the record moves both. So what was read first says where the other must
//! lie; else a level that rests as recorded and runs far too low would look like one that fell.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::Check;

use super::Prediction;
use crate::predict::speed::load_at;

/// Tape, and a rest too short, m.
pub const TAPE_M: f64 = 0.3;

/// Of a fall that is not known, share, and what a model misses beside, m: levels follow late, and drawdowns change by
/// season and age (contract and engineering judgement).
const FALL_SHARE: f64 = 0.25;
const FALL_M: f64 = 0.46;

/// How far a level under a running pump may lie from a rest that is known, 1 sigma, m. `fall_m`: how far the water
/// falls.
pub fn fall_sigma_m(fall_m: f64) -> f64 {
    FALL_M.hypot(FALL_SHARE * fall_m.clamp(0.0, 20.0))
}

/// What two say of one quantity, (middle, 1 sigma) each.
pub fn both(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let (wa, wb) = (1.0 / (a.1 * a.1), 1.0 / (b.1 * b.1));
    ((a.0 * wa + b.0 * wb) / (wa + wb), 1.0 / (wa + wb).sqrt())
}

/// The resting level (middle, 1 sigma, m) where a sensor has told the level of the running pump; `None` where none has,
/// or where the sensor is what is wrong. `own`: what the hypothesis says of it without.
pub fn by_running_level(p: &Prediction, own: (f64, f64)) -> Option<(f64, f64)> {
    if p.hypothesis.sensor.is_some_and(|(c, _)| c == Channel::WaterLevelM) {
        return None;
    }
    let point = p.look.steady.iter().rev().find(|s| !s.moving && s.get(Channel::WaterLevelM).is_some())?;
    let read_m = point.get(Channel::WaterLevelM)?;
    let load = point.rpm().map(|_| load_at(p.plant, point))?;
    let fall_m = load.water.level_m - p.plant.water.well.static_m - p.plant.condition.water.static_deeper_m;
    let class = p.system().sensors.level_error_m(read_m);
    Some(both(own, (read_m - fall_m, fall_sigma_m(fall_m).hypot(class))))
}

/// The resting level (middle, 1 sigma, m) where somebody has sounded it; `None` where nobody has, or where the water
/// comes back so slowly that a sounding at rest tells little of it.
pub fn by_sounding(p: &Prediction, own: (f64, f64)) -> Option<(f64, f64)> {
    if matches!(p.cause(), Cause::DryRunning | Cause::WellYieldLimit) {
        return None;
    }
    let made = p.checks().iter().rev().find(|made| made.check == Check::RestingLevelSounding)?;
    let depth_m = made.number("depth_m").filter(|d| *d < p.healthy.water.well.intake_m)?;
    Some(both(own, (depth_m, TAPE_M)))
}
