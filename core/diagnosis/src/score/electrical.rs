//! Which limit holds a point, and how equal the three currents are.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::record::Drive;
use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::likelihood::log_sum_exp;
use crate::predict::speed::load_at;
use crate::window::Steady;

/// So long after a start the speed may still be on its way, min.
const RAMP_MIN: f64 = 1.5;

/// What may hold a steady point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldBy {
    /// No limit of the controller is near: the sun.
    Sun,
    /// A limit of speed, current or power is near: it, or the sun that just does not reach it.
    NearLimit,
    /// The lowest speed, the voltage, or a start.
    Other,
}

/// True when at a steady point no limit of the controller is near, so that only the sun limits.
pub fn only_sun_limits(plant: &Plant, p: &Steady) -> bool {
    held_by(plant, p) == HeldBy::Sun
}

/// What may hold a steady point. The margins hold the tolerances of the limits and of what is compared with them.
pub fn held_by(plant: &Plant, p: &Steady) -> HeldBy {
    let (c, set) = (&plant.controller, &plant.condition.controller);
    let Some(rpm) = p.rpm() else { return HeldBy::Other };
    // what is guessed from the power is known as well as the plant
    let (least, most) = if p.guessed_by_w.is_some() { (1.1, 0.88) } else { (1.02, 0.975) };
    if p.running < RAMP_MIN || rpm <= least * c.min_rpm {
        return HeldBy::Other;
    }
    let load = load_at(plant, p);
    let Some(dc) = p.get(Channel::ArrayV) else { return HeldBy::Other };
    let volts = p.get(Channel::OutputV).unwrap_or(load.motor.line_v);
    if volts >= 0.9 * c.voltage_ratio() * dc {
        return HeldBy::Other;
    }
    let amps = p.phase_a().unwrap_or(load.motor.phase_a);
    // a mean over minutes at a limit lies below it
    let near = if p.averaged { 0.96 } else { 1.0 };
    let limited = rpm >= most * plant.highest_rpm()
        || amps >= near * 0.94 * set.current_share * c.max_phase_a
        || p.dc_w().unwrap_or(load.dc_w) >= near * 0.92 * set.power_share * c.max_power_w;
    if limited { HeldBy::NearLimit } else { HeldBy::Sun }
}

/// Three current sensors of 3 % each: a ratio to their mean is off by this much, 1 sigma.
pub const SENSORS: f64 = 0.026;

/// log density of the three currents over their mean.
pub fn unbalance_log_likelihood(points: &[Steady], plant: &Plant, h: &Hypothesis, unknown: bool) -> f64 {
    let Some(mean) = mean_unbalance(points) else { return 0.0 };
    if unknown {
        return density(mean, [1.0; 3], 0.25);
    }
    let shapes = shapes(points, plant, h);
    log_sum_exp(shapes.iter().map(|(weight, shape)| {
        // the bad lead may be any of the three, and the other two may stand either way round
        let ways = permutations(*shape);
        let each = ways.iter().map(|w| density(mean, *w, SENSORS.hypot(0.3 * largest(*w))));
        weight.ln() + log_sum_exp(each) - (ways.len() as f64).ln()
    }))
}

/// The three currents over their mean, over all points that tell them.
pub fn mean_unbalance(points: &[Steady]) -> Option<[f64; 3]> {
    let seen: Vec<[f64; 3]> = points.iter().filter_map(Steady::unbalance).collect();
    let n = seen.len() as f64;
    if seen.is_empty() { None } else { Some([0, 1, 2].map(|k| seen.iter().map(|u| u[k]).sum::<f64>() / n)) }
}

/// Possible shapes of the currents with their weights, bad lead first.
fn shapes(points: &[Steady], plant: &Plant, h: &Hypothesis) -> Vec<(f64, [f64; 3])> {
    if let Some(fixed) = h.unbalance {
        let half = fixed.map(|u| 1.0 + 0.4 * (u - 1.0));
        return match h.cause {
            // current loops even out most of it
            Cause::WindingFault => vec![(0.35, fixed), (0.35, half), (0.3, [1.0; 3])],
            _ => vec![(1.0, fixed)],
        };
    }
    if h.condition.lead.one_lead_ohm <= 0.0 {
        return vec![(1.0, [1.0; 3])];
    }
    let mut fed = plant.clone();
    fed.controller.drive = Drive::SixStep;
    let middle = &points[points.len() / 2];
    let load = load_at(&fed, middle);
    let full = load.motor.unbalance;
    let half = full.map(|u| 1.0 + 0.5 * (u - 1.0));
    let ceiling = plant.controller.voltage_ratio() * middle.get(Channel::ArrayV).unwrap_or(f64::INFINITY);
    match plant.controller.drive {
        Drive::SixStep => vec![(0.7, full), (0.3, half)],
        // equal while there is voltage to spare, as far as the current loops of a small drive go
        Drive::FieldOriented if load.motor.line_v < 0.9 * ceiling => vec![(0.65, [1.0; 3]), (0.35, half)],
        Drive::FieldOriented => vec![(0.35, full), (0.35, half), (0.3, [1.0; 3])],
    }
}

fn largest(u: [f64; 3]) -> f64 {
    u.iter().map(|x| (x - 1.0).abs()).fold(0.0, f64::max)
}

/// The orders of three things.
const ORDERS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];

fn permutations(u: [f64; 3]) -> Vec<[f64; 3]> {
    if largest(u) < 1e-6 {
        return vec![u];
    }
    ORDERS.iter().map(|o| [u[o[0]], u[o[1]], u[o[2]]]).collect()
}

/// Two independent ratios (the third follows), with Student tails of 5 degrees of freedom.
fn density(seen: [f64; 3], shape: [f64; 3], sigma: f64) -> f64 {
    let m2: f64 = seen.iter().zip(shape).map(|(a, b)| ((a - b) / sigma).powi(2)).sum::<f64>() * 2.0 / 3.0;
    -0.5 * (5.0 + 2.0) * (1.0 + m2 / 5.0).ln() - 2.0 * sigma.ln()
}
