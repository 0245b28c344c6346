//! Late water and an empty gauge after a rest: does the column stay up?

use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::likelihood::{ln_tail, log_sum_exp};
use crate::predict::column::{Column, PROMPT_S, drained, fill_s};
use crate::window::Start;

/// Spread of the time to prompt water, natural log.
const PROMPT_LN: f64 = 0.55;

/// A column below this shows nothing on the gauge, kPa.
const LEAST_KPA: f64 = 15.0;

/// A sound column stays up so often (engineering judgement: gauges, taps and old valves lose some).
const HOLDS: f64 = 0.98;

/// And one with a leak so often all the same: a short rest, a small hole.
const LEAKS_HOLD: f64 = 0.25;

/// What the starts of a window say of a hypothesis, each natural log likelihood by itself. Starts of one window share
/// most of their error: they count for the root of their number.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Came {
    /// Time until water came.
    pub delay: f64,
    /// Pressure before.
    pub gauge: f64,
}

impl Came {
    /// Compares the starts with a hypothesis about a healthy `plant` that gives `flow_m3_h`.
    pub fn new(starts: &[Start], column: Column, plant: &Plant, flow_m3_h: f64, h: &Hypothesis) -> Came {
        // a new system's pipe stays empty until water has come once
        let filled = starts.iter().position(|s| s.delay_s.is_some()).unwrap_or(starts.len());
        let fill_s = fill_s(plant, flow_m3_h);
        let mut all = Came::default();
        for (k, s) in starts.iter().enumerate() {
            let first = column.first_ever && k <= filled;
            let drained = drained(h, column.valve, s.rest_min);
            all.delay += s.delay_s.map_or(0.0, |delay| late(delay, fill_s, drained, first));
            all.gauge += s.rest_kpa.map_or(0.0, |kpa| before(kpa, plant, drained, first));
        }
        let alike = |tells: fn(&&Start) -> bool| (starts.iter().filter(tells).count().max(1) as f64).sqrt();
        Came {
            delay: all.delay / alike(|s| s.delay_s.is_some()),
            gauge: all.gauge / alike(|s| s.rest_kpa.is_some()),
        }
    }

    /// Both together.
    pub fn total(&self) -> f64 {
        self.delay + self.gauge
    }
}

/// Seconds until water under a hypothesis, each start by itself: in the first of a new system the whole pipe fills.
pub fn usual_delays_s(
    starts: &[Start],
    column: Column,
    plant: &Plant,
    flow_m3_h: f64,
    h: &Hypothesis,
) -> Vec<f64> {
    let fills_s = fill_s(plant, flow_m3_h);
    let told = starts.iter().filter(|s| s.delay_s.is_some()).enumerate();
    told.map(|(k, s)| {
        let empty = drained(h, column.valve, s.rest_min).unwrap_or(0.0);
        PROMPT_S + fills_s * if column.first_ever && k == 0 { 1.0 } else { empty }
    })
    .collect()
}

fn late(delay_s: f64, fill_s: f64, drained: Option<f64>, first: bool) -> f64 {
    // the first water of a new system has the whole pipe to fill
    let fresh: f64 = if first { 0.5 } else { 0.01 };
    log_sum_exp([
        fresh.ln() + delay_density(delay_s, fill_s),
        (1.0 - fresh).ln() + delay_density(delay_s, drained.unwrap_or(0.0) * fill_s),
    ])
}

fn before(kpa: f64, plant: &Plant, drained: Option<f64>, first: bool) -> f64 {
    let (empty, holds) = match (first, drained) {
        // nobody knows whether it was ever filled
        (true, _) => (1.0, 0.5),
        (_, Some(empty)) => (empty, LEAKS_HOLD),
        (_, None) => (1.0, HOLDS),
    };
    gauge_density(kpa, plant, empty, holds)
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
        ln_tail(z) - sigma.ln()
    };
    log_sum_exp([
        holds.ln() + near(column),
        f64::ln(1.0 - holds) + near(column * (1.0 - 2.0 * empty).max(0.0)),
    ])
}
