//! The highest speed within every limit.
//!
//! Power goes with about the cube of the speed and torque with the square, so the logarithm of the tightest
//! limit's share is nearly straight over the logarithm of the speed. The search runs there, from the top
//! down, and is bracketed as soon as a speed within the limits is found.

use wellwright_domain::finding::Regime;

use super::limits::Limits;
use crate::hydraulics::Lift;
use crate::load::Load;
use crate::plant::Plant;
use crate::pump::Pump;
use crate::roots::brent_between;

/// The lowest speed that is tried, as a share of the highest: a logarithm needs a floor.
const LOWEST_SHARE: f64 = 1e-4;
/// Accepted distance from the limit, relative.
const CLOSE: f64 = 1e-10;
/// Accepted width of the bracket, relative to the speed.
const NARROW: f64 = 1e-13;

/// A limit that is passed by more than this at the end of the search has jumped there, relative.
const JUMP: f64 = 1e-8;

/// What the search found.
#[derive(Debug, Clone, Copy)]
pub(super) enum Fastest {
    /// The highest speed, and what holds it there.
    At(Load, Regime),
    /// Not even the lowest: the limit that is broken there.
    Nowhere(Regime),
}

/// One speed that was tried.
#[derive(Clone, Copy)]
struct Try {
    load: Load,
    regime: Regime,
    /// ln n and ln of what the tightest limit leaves: positive within the limits.
    x: f64,
    room: f64,
}

/// Tries speeds, each with a flow foreseen from the last two.
struct Search<'a> {
    plant: &'a Plant,
    lift: &'a Lift<'a>,
    limits: &'a Limits<'a>,
    last: [(f64, f64); 2],
}

impl Search<'_> {
    fn at(&mut self, x: f64) -> Try {
        let rpm = x.exp();
        let load = self.plant.load_on(self.lift, rpm, self.foresee(rpm));
        self.last = [self.last[1], (rpm, load.water.pump_m3_h)];
        let tightest = self.limits.tightest(&load);
        Try { load, regime: tightest.regime, x, room: -tightest.share.max(f64::MIN_POSITIVE).ln() }
    }

    /// Flow on the straight line through the last two speeds.
    fn foresee(&self, rpm: f64) -> Option<f64> {
        let [(n0, q0), (n1, q1)] = self.last;
        if n1 <= 0.0 || q1 <= 0.0 {
            None
        } else if n0 <= 0.0 || q0 <= 0.0 || n0 == n1 {
            Some(q1 * rpm / n1)
        } else {
            Some(q1 + (rpm - n1) * (q1 - q0) / (n1 - n0)).filter(|q| *q > 0.0)
        }
    }
}

pub(super) fn fastest(plant: &Plant, lift: &Lift<'_>, limits: &Limits<'_>) -> Fastest {
    let c = &plant.controller;
    let mut search = Search { plant, lift, limits, last: [(0.0, 0.0); 2] };
    let max_rpm = plant.highest_rpm();
    let top = search.at(max_rpm.ln());
    if top.room >= 0.0 {
        return Fastest::At(top.load, Regime::SpeedLimited);
    }
    let floor = c.min_rpm.max(LOWEST_SHARE * max_rpm).ln().min(top.x);
    let (inside, outside) = match enter(&mut search, top, floor) {
        Ok(both) => both,
        Err(broken) => return Fastest::Nowhere(broken),
    };
    let mut best = if inside.room.abs() < outside.room.abs() { inside } else { outside };
    let mut within = inside;
    // `brent_between` keeps its best point last; the bracket is sound by construction
    let _ = brent_between(
        |x| {
            let now = search.at(x);
            if now.room.abs() <= best.room.abs() {
                best = now;
            }
            if now.room >= 0.0 && now.x > within.x {
                within = now;
            }
            now.room
        },
        [(inside.x, inside.room), (outside.x, outside.room)],
        NARROW,
        CLOSE,
        "load and limits",
    );
    // where a limit jumps (the voltage of a shaded array from one peak to the next) the speed just below counts
    let load = if best.room < -JUMP { within.load } else { best.load };
    Fastest::At(load, best.regime)
}

/// Slope to begin with, of what a limit leaves over ln n: power goes with the cube of the speed where torque
/// goes with its square, and about with the speed where torque is constant.
fn usual_slope(plant: &Plant, regime: Regime) -> f64 {
    match (regime, &plant.pump) {
        (Regime::VoltageLimited, _) | (_, Pump::Helical(_)) => -1.3,
        (Regime::CurrentLimited, Pump::Centrifugal(_)) => -2.0,
        (_, Pump::Centrifugal(_)) => -3.0,
    }
}

/// Goes down from the top until a speed lies within the limits: that one and the last one above.
fn enter(search: &mut Search<'_>, top: Try, floor: f64) -> Result<(Try, Try), Regime> {
    let mut above = top;
    let mut slope = usual_slope(search.plant, top.regime);
    for tries in 0..40 {
        // a little further than straight, to land inside; after a few tries all the way
        let reach = 1.0 + 0.02 * f64::from(tries * tries);
        let x = (above.x - reach * above.room / slope).min(above.x - 1e-9);
        let x = if x > floor && tries < 8 { x } else { floor };
        let now = search.at(x);
        if now.room >= 0.0 {
            return Ok((now, above));
        }
        if x <= floor {
            return Err(now.regime);
        }
        let steep = (now.room - above.room) / (now.x - above.x);
        slope = if steep < -0.1 { steep } else { -0.1 };
        above = now;
    }
    Err(above.regime)
}
