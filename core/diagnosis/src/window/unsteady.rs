//! How much readings vary at one speed: steady water makes steady torque, flow and pressure; air, a level that hunts
//! and things that come and go do not.
//!
//! Of each stretch at nearly one speed what goes with the speed and with the time is taken off (a straight line in
//! both); what is left, as a share, is sensor noise where the water is steady.

use nalgebra::{DMatrix, DVector};
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

use super::share_below;
use super::steady::PHASES;

/// Fewer rows tell no scatter.
const LEAST_ROWS: usize = 12;

/// Below this, A or W, nothing is drawn.
const NOTHING: f64 = 1e-3;

/// Flow below this is none, m3/h; pressure is told against so much more, kPa.
const LEAST_FLOW_M3_H: f64 = 0.05;
const PRESSURE_KPA: f64 = 20.0;

/// Scatter at one speed as a share, 1 sigma.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// All of it.
    pub all: f64,
    /// What lasts from row to row: of the whole less what neighbours differ by; `None` where too few rows are
    /// neighbours.
    pub lasting: Option<f64>,
}

/// How much readings vary at one speed; `None` where it was not measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Unsteady {
    /// Torque: of the phase currents, else of the DC power.
    pub torque: Option<Scatter>,
    /// Flow.
    pub flow: Option<Scatter>,
    /// Pressure at the wellhead.
    pub pressure: Option<Scatter>,
}

/// Scatter of the rows of one stretch.
pub fn of_rows(rows: &[&Sample]) -> Unsteady {
    let amps = |s: &Sample| {
        let told: Vec<f64> = PHASES.iter().filter_map(|c| s.get(*c)).collect();
        (told.len() == PHASES.len()).then(|| told.iter().sum::<f64>() / told.len() as f64)
    };
    let watts = |s: &Sample| Some(s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?);
    Unsteady {
        torque: scatter(rows, &amps, NOTHING, 0.0).or_else(|| scatter(rows, &watts, NOTHING, 0.0)),
        flow: scatter(rows, &|s| s.get(Channel::FlowM3H), LEAST_FLOW_M3_H, 0.0),
        pressure: scatter(rows, &|s| s.get(Channel::WellheadKpa), f64::NEG_INFINITY, PRESSURE_KPA),
    }
}

/// The middle of several stretches.
pub fn middle(all: &[Unsteady]) -> Unsteady {
    let of = |pick: fn(&Unsteady) -> Option<Scatter>| {
        let told: Vec<Scatter> = all.iter().filter_map(pick).collect();
        let lasting = share_below(told.iter().filter_map(|s| s.lasting), 0.5);
        share_below(told.iter().map(|s| s.all), 0.5).map(|all| Scatter { all, lasting })
    };
    Unsteady { torque: of(|u| u.torque), flow: of(|u| u.flow), pressure: of(|u| u.pressure) }
}

/// Neighbours are rows no further apart than so many times the usual step.
const NEIGHBOURS: f64 = 2.5;

/// Fewer pairs of neighbours do not tell what lasts.
const LEAST_PAIRS: usize = 8;

/// What a straight line in speed and time leaves, over the mean and `more`; `None` for a mean of `least` or less.
fn scatter(rows: &[&Sample], of: &dyn Fn(&Sample) -> Option<f64>, least: f64, more: f64) -> Option<Scatter> {
    let from = rows.first()?.at;
    let told: Vec<[f64; 3]> = rows
        .iter()
        .filter_map(|s| {
            let hours = (s.at - from).num_milliseconds() as f64 / 3.6e6;
            Some([s.get(Channel::MotorRpm)? / 1000.0, hours, of(s)?])
        })
        .collect();
    if told.len() < LEAST_ROWS {
        return None;
    }
    let n = told.len();
    let middle = |k: usize| told.iter().map(|r| r[k]).sum::<f64>() / n as f64;
    let (speed, hours, value) = (middle(0), middle(1), middle(2));
    let x = DMatrix::from_fn(n, 2, |i, j| told[i][j] - [speed, hours][j]);
    let y = DVector::from_fn(n, |i, _| told[i][2] - value);
    let line = (x.tr_mul(&x) + DMatrix::identity(2, 2) * 1e-9).cholesky()?.solve(&x.tr_mul(&y));
    let left = &y - &x * line;
    let variance = left.norm_squared() / (n - 3) as f64;
    let hours: Vec<f64> = told.iter().map(|r| r[1]).collect();
    let size = value.abs() + more;
    (value > least).then(|| Scatter {
        all: variance.sqrt() / size,
        lasting: by_neighbours(left.as_slice(), &hours).map(|v| (variance - v).max(0.0).sqrt() / size),
    })
}

/// The variance by which neighbours in time differ.
///
/// Equation: half the mean square of successive differences. Source: von Neumann 1941, ratio of the mean square
/// successive difference to the variance.
fn by_neighbours(left: &[f64], hours: &[f64]) -> Option<f64> {
    let mut steps: Vec<f64> = hours.windows(2).map(|h| h[1] - h[0]).collect();
    steps.sort_by(f64::total_cmp);
    let near = NEIGHBOURS * steps.get(steps.len() / 2)?;
    let pairs = left.windows(2).zip(hours.windows(2)).filter(|(_, h)| h[1] - h[0] <= near);
    let squares: Vec<f64> = pairs.map(|(v, _)| (v[1] - v[0]).powi(2)).collect();
    (squares.len() >= LEAST_PAIRS).then(|| 0.5 * squares.iter().sum::<f64>() / squares.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, TimeDelta};

    fn rows(flow: impl Fn(f64, f64) -> f64) -> Vec<Sample> {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").expect("an instant");
        (0..60)
            .map(|k| {
                let (at, rpm) = (from + TimeDelta::seconds(10 * k), 3000.0 + 20.0 * (k as f64 * 0.7).sin());
                let of = flow(rpm, k as f64);
                Sample::new(at).with(Channel::MotorRpm, rpm).with(Channel::FlowM3H, of)
            })
            .collect()
    }

    fn told(samples: &[Sample]) -> f64 {
        of_rows(&samples.iter().collect::<Vec<_>>()).flow.expect("a flow was told").all
    }

    #[test]
    fn what_goes_with_speed_and_time_is_no_scatter() {
        assert!(told(&rows(|rpm, k| 0.002 * rpm - 0.004 * k)) < 1e-6);
    }

    /// Noise differs from row to row: it is no part of what lasts.
    #[test]
    fn noise_does_not_last_and_slow_waves_do() {
        let told = |flow: &dyn Fn(f64) -> f64| {
            let samples = rows(|_, k| flow(k));
            of_rows(&samples.iter().collect::<Vec<_>>()).flow.expect("a flow was told")
        };
        // as good as random: steps of the golden angle
        let noise = told(&|k| 5.0 + (2.4 * k * k).sin());
        let (all, lasting) = (noise.all, noise.lasting.expect("neighbours"));
        assert!(all > 0.1 && lasting < 0.4 * all, "{noise:?}");
        let wave = told(&|k| 5.0 + (k * 0.3).sin());
        let (all, lasting) = (wave.all, wave.lasting.expect("neighbours"));
        assert!(all > 0.1 && lasting > 0.9 * all, "{wave:?}");
    }

    /// A square wave of a tenth either way has a scatter of a tenth.
    #[test]
    fn what_comes_and_goes_is() {
        let u = told(&rows(|_, k| if (k as usize / 5).is_multiple_of(2) { 5.5 } else { 4.5 }));
        assert!((u - 0.1).abs() < 0.01, "{u}");
    }
}
