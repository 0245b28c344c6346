//! Readings that stop at one value although the array could give more.
//!
//! The load side is compared at the measured speed, so what fixed the speed is compared here: the sun (its density
//! stands with the array side), or a limit or voltage that the controller keeps. Points at a limit of the record
//! are held under every hypothesis and tell nothing.

use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use crate::causes::Hold;
use crate::likelihood::SharedErrors;
use crate::predict::speed::{load_at, sun_per_speed};
use crate::window::Steady;

/// Where a limit or voltage may lie, 1 sigma of ln.
const ANYWHERE: f64 = 0.4;

/// ln density of ln speed where a limit of the record holds it: known to 3 %.
const AT_LIMIT: f64 = 2.6;

/// log density of the speeds, given what holds them: of ln speed at every point that a healthy plant would leave to
/// the sun (`left_to_sun`). `by_sun`: where the sun holds it under the hypothesis whose plant is given, too.
pub fn log_likelihood(
    points: &[Steady],
    left_to_sun: &[bool],
    by_sun: &[bool],
    plant: &Plant,
    hold: Option<Hold>,
) -> f64 {
    let per_speed = sun_per_speed(plant.kind);
    let keeps_voltage = hold.is_some_and(Hold::keeps_voltage);
    let hours = hours(points);
    let mut rows = SharedErrors::default();
    let mut in_speed = 0.0;
    let mut first = None;
    for ((p, left), by_sun) in points.iter().zip(left_to_sun).zip(by_sun) {
        if p.moving {
            continue;
        }
        if !left {
            // under the sun alone it would be by chance that it meets a limit of the record
            in_speed += if *by_sun { per_speed.ln() } else { AT_LIMIT };
            continue;
        }
        // the sun holds the speed: what its density in ln G is in ln speed
        in_speed += if *by_sun || keeps_voltage { per_speed.ln() } else { 0.0 };
        if *by_sun {
            continue;
        }
        let Some(hold) = hold else { continue };
        let Some((value, keeps, per)) = reading(p, plant, hold, per_speed, hours).filter(|r| r.0 > 0.0)
        else {
            continue;
        };
        let more = if p.averaged { 0.02 } else { 0.0 };
        let own = keeps.scatter + more;
        rows.push(value.ln(), own, vec![ANYWHERE]);
        let counted = (own / (keeps.counted + more)).ln();
        first.get_or_insert(counted);
        in_speed += f64::ln(per) + counted;
    }
    // one point keeps nothing yet
    rows.centred().log_density() + in_speed - first.unwrap_or(0.0)
}

/// Within so many hours heat moves the power as far as it will (engineering judgement: a sink of aluminium).
const HEATS_H: f64 = 0.25;

fn hours_between(a: &Steady, b: &Steady) -> f64 {
    (b.at - a.at).num_seconds().abs() as f64 / 3600.0
}

/// Over how many hours points lie.
fn hours(points: &[Steady]) -> f64 {
    points.first().zip(points.last()).map_or(0.0, |(a, b)| hours_between(a, b))
}

/// Less power than this share of what it took so few hours before or after is none that heat left: it warms and cools
/// slowly. But one that was started cool gives up within minutes what it cannot keep.
const HEAT_LEAVES: f64 = 0.75;
const HEAT_LEAVES_AFTER_START: f64 = 0.4;
const SOON_H: f64 = 0.07;

/// So long after a start the sink has not found its temperature, min, and the power moves so far, 1 sigma of ln.
const WARMS_UP_MIN: f64 = 20.0;
const WARMS_UP: f64 = 0.3;

fn warms_up(p: &Steady) -> bool {
    p.running < WARMS_UP_MIN
}

/// A controller that took more than this point's power within a few minutes of it is not held there by its heat.
pub fn took_more(points: &[Steady], p: &Steady) -> bool {
    let near = points.iter().filter(|o| hours_between(o, p) < SOON_H);
    let leaves = |o: &Steady| if o.at < p.at && warms_up(o) { HEAT_LEAVES_AFTER_START } else { HEAT_LEAVES };
    let most = near.filter_map(|o| Some(leaves(o) * o.dc_w()?)).fold(0.0, f64::max);
    p.dc_w().is_some_and(|w| w < most)
}

/// How close a hold keeps its value, 1 sigma of ln. What wanders further is held against it; what stays as close
/// counts for no more than `counted`, since in steady light a limit and the sun look alike.
struct Keeps {
    scatter: f64,
    counted: f64,
}

const fn keeps(scatter: f64, counted: f64) -> Keeps {
    Keeps { scatter, counted }
}

/// What the hold keeps at a point, how close, and d ln of it / d ln speed.
/// `hours`: over how long the points lie.
fn reading(p: &Steady, plant: &Plant, hold: Hold, per_speed: f64, hours: f64) -> Option<(f64, Keeps, f64)> {
    let load = || load_at(plant, p);
    let square = if per_speed > 2.0 { 1.9 } else { 0.3 };
    match hold {
        Hold::Speed => Some((p.rpm()?, keeps(0.002, 0.02), 1.0)),
        Hold::Current => {
            Some((p.phase_a().unwrap_or_else(|| load().motor.phase_a), keeps(0.008, 0.035), square))
        }
        Hold::Power => Some((p.dc_w()?, keeps(0.01, 0.05), per_speed)),
        // what it gives up follows its heat
        Hold::Heat => {
            let by_heat = 0.03f64.hypot(0.12 * (hours / HEATS_H).min(1.0));
            let by_heat = if warms_up(p) { by_heat.hypot(WARMS_UP) } else { by_heat };
            Some((p.dc_w()?, keeps(by_heat, by_heat), per_speed))
        }
        Hold::Voltage => Some((p.get(Channel::ArrayV)?, keeps(0.003, 0.006), 1.0)),
        Hold::Beside => Some((p.get(Channel::ArrayV)?, keeps(0.06, 0.06), 1.0)),
    }
}
