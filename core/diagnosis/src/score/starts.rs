//! Late water and an empty gauge after a rest: does the column stay up?

use std::f64::consts::PI;

use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::likelihood::log_sum_exp;
use crate::window::Start;

/// Seconds from the command to water through a full pipe: ramp and check valve (engineering judgement: 4 to 60 s).
const PROMPT_S: f64 = 16.0;
const PROMPT_LN: f64 = 0.55;

/// A column below this shows nothing on the gauge, kPa.
const LEAST_KPA: f64 = 15.0;

/// A sound column stays up so often (engineering judgement: gauges, taps and old valves lose some).
const HOLDS: f64 = 0.98;

/// And one with a leak so often all the same: a short rest, a small hole.
const LEAKS_HOLD: f64 = 0.25;

/// What is known of the column beforehand.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// The first start of a new system: the pipe may never have been filled.
    pub first_ever: bool,
    /// A check valve is fitted, as far as the record says.
    pub valve: bool,
}

/// log likelihood of the starts. Starts of one window share their error: they count as their mean.
pub fn log_likelihood(
    starts: &[Start],
    column: Column,
    plant: &Plant,
    flow_m3_h: f64,
    h: &Hypothesis,
) -> f64 {
    if starts.is_empty() {
        return 0.0;
    }
    let leaks = h.condition.water.riser_leak_m3_h > 0.0;
    // a new system's pipe stays empty until water has come once
    let filled = starts.iter().position(|s| s.delay_s.is_some()).unwrap_or(starts.len());
    let of = |(k, s): (usize, &Start)| {
        let empty = match h.drains_in_min {
            Some(minutes) => drained(s, minutes),
            // a leak in the riser lets the column down too, how fast nobody knows
            None if leaks => 0.5,
            None if !column.valve => 0.8,
            None => 0.0,
        };
        let first = column.first_ever && k <= filled;
        let mut total = 0.0;
        if let Some(delay) = s.delay_s {
            // the first water of a new system has the whole pipe to fill
            let fresh = if first { 0.5 } else { 0.01 };
            total += log_sum_exp([
                f64::ln(fresh) + delay_density(delay, fill_s(plant, flow_m3_h)),
                f64::ln(1.0 - fresh) + delay_density(delay, empty * fill_s(plant, flow_m3_h)),
            ]);
        }
        if let Some(kpa) = s.rest_kpa {
            let drains = h.drains_in_min.is_some() || leaks || !column.valve;
            let (empty, holds) = match (first, drains) {
                // nobody knows whether it was ever filled
                (true, _) => (1.0, 0.5),
                (_, true) => (empty, LEAKS_HOLD),
                (_, false) => (1.0, HOLDS),
            };
            total += gauge_density(kpa, plant, empty, holds);
        }
        total
    };
    starts.iter().enumerate().map(of).sum::<f64>() / (starts.len() as f64).sqrt()
}

/// Share of the column that has drained after a rest.
fn drained(s: &Start, minutes: f64) -> f64 {
    (s.rest_min / minutes).min(1.0)
}

/// Seconds to fill the drained riser, from the resting level to the wellhead.
fn fill_s(plant: &Plant, flow_m3_h: f64) -> f64 {
    let bore_m = plant.water.pipes.riser.inner_mm / 1000.0;
    let volume = PI / 4.0 * bore_m * bore_m * plant.water.well.static_m;
    3600.0 * volume / flow_m3_h.max(0.05)
}

/// Water may be late for many a reason (weak sun, a slow ramp, a hand on the switch): one start in six is anyhow.
const ANYHOW: f64 = 0.16;
const ANYHOW_LN: f64 = 1.6;

fn delay_density(delay_s: f64, fill_s: f64) -> f64 {
    let off = (delay_s.max(1.0) / (PROMPT_S + fill_s)).ln();
    let normal = |sigma: f64| -0.5 * (off / sigma).powi(2) - sigma.ln();
    log_sum_exp([(1.0 - ANYHOW).ln() + normal(PROMPT_LN), ANYHOW.ln() + normal(ANYHOW_LN)])
}

fn gauge_density(kpa: f64, plant: &Plant, empty: f64, holds: f64) -> f64 {
    let column = plant.water.pipes.column_kpa();
    if column < LEAST_KPA {
        return 0.0;
    }
    let near = |mean: f64| {
        let sigma = 0.12 * column + 4.0;
        let z = (kpa - mean) / sigma;
        -3.0 * (1.0 + z * z / 5.0).ln() - sigma.ln()
    };
    log_sum_exp([
        holds.ln() + near(column),
        f64::ln(1.0 - holds) + near(column * (1.0 - 2.0 * empty).max(0.0)),
    ])
}
