//! Well and aquifer parameters from measured levels.

use super::step::StepDrawdown;
use super::theis::{Aquifer, well_function};
use crate::error::PhysicsError;

/// A step test's result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepFit {
    /// The coefficients.
    pub well: StepDrawdown,
    /// The regression gave C below zero, which is noise; C is then 0 and B the mean of s/Q.
    pub c_was_negative: bool,
    /// Root mean square of what is left, m.
    pub rms_m: f64,
}

/// B and C from a step test.
///
/// # Equation
/// s/Q = B + C Q, straight line by least squares.
///
/// # Symbols
/// `steps` pairs (flow, m3/h, more than 0; drawdown at the end of equally long steps, m).
///
/// # Limits
/// C from two close rates is mostly noise: in the field the drawdown per flow falls with the flow in one
/// well of five.
///
/// # Source
/// M. S. Hantush (1964); W. H. Bierschenk (1963).
///
/// # Errors
/// [`PhysicsError::CannotFit`] with fewer than two different rates, or when the level did not fall.
///
/// ```
/// # use wellwright_physics::well::fit::step_test;
/// let steps = [(2.5, 1.275), (5.0, 3.05), (7.5, 5.325)]; // s = 0.41 Q + 0.04 Q^2, made up
/// let fit = step_test(&steps).unwrap();
/// assert!((fit.well.b - 0.41).abs() < 1e-12 && (fit.well.c - 0.04).abs() < 1e-12);
/// ```
pub fn step_test(steps: &[(f64, f64)]) -> Result<StepFit, PhysicsError> {
    const WHAT: &str = "step test";
    let rows: Vec<(f64, f64)> =
        steps.iter().filter(|(q, s)| *q > 0.0 && s.is_finite()).map(|&(q, s)| (q, s / q)).collect();
    let n = rows.len() as f64;
    let mean_q = rows.iter().map(|r| r.0).sum::<f64>() / n;
    let mean_y = rows.iter().map(|r| r.1).sum::<f64>() / n;
    let sqq: f64 = rows.iter().map(|r| (r.0 - mean_q).powi(2)).sum();
    let sqy: f64 = rows.iter().map(|r| (r.0 - mean_q) * (r.1 - mean_y)).sum();
    if rows.len() < 2 || sqq <= 1e-9 * mean_q * mean_q {
        return Err(PhysicsError::CannotFit { what: WHAT, why: "it takes two or more different rates" });
    }
    if mean_y <= 0.0 {
        return Err(PhysicsError::CannotFit {
            what: WHAT,
            why: "the level did not fall; check which reading is the resting level",
        });
    }
    let c = sqy / sqq;
    let b = mean_y - c * mean_q;
    let c_was_negative = c < 0.0;
    let well = if c_was_negative {
        StepDrawdown { b: mean_y, c: 0.0 }
    } else if b < 0.0 {
        // All loss is turbulent: least squares of s/Q = C Q through the origin.
        let c = rows.iter().map(|r| r.0 * r.1).sum::<f64>() / rows.iter().map(|r| r.0 * r.0).sum::<f64>();
        StepDrawdown { b: 0.0, c }
    } else {
        StepDrawdown { b, c }
    };
    let square: f64 = rows.iter().map(|r| (well.drawdown_m(r.0) - r.0 * r.1).powi(2)).sum();
    Ok(StepFit { well, c_was_negative, rms_m: (square / n).sqrt() })
}

/// One reading of a pumping test at a steady rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Pumping rate, m3/d.
    pub flow_m3_d: f64,
    /// Distance from the pumped well, m.
    pub radius_m: f64,
    /// Time since the start, d.
    pub time_d: f64,
    /// Drawdown, m.
    pub drawdown_m: f64,
}

/// A Theis fit's result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TheisFit {
    /// The aquifer.
    pub aquifer: Aquifer,
    /// Root mean square of what is left, m.
    pub rms_m: f64,
}

/// T and S from a pumping test by least squares.
///
/// # Equation
/// Least sum of (s - Q W(u)/(4 pi T))^2. For a given S/T the best 1/T is linear, so only S/T is searched:
/// on a grid over 14 decades, then by golden section.
///
/// # Symbols
/// `readings` in one or more observation wells, time and radius more than 0.
///
/// # Limits
/// Graphical and least-squares answers differ by up to 20 % on real wells: trust no closer.
///
/// # Source
/// Theis (1935) for the model; the search is ours.
///
/// # Errors
/// [`PhysicsError::CannotFit`] with fewer than three usable readings or levels that do not fall.
pub fn theis(readings: &[Reading]) -> Result<TheisFit, PhysicsError> {
    const WHAT: &str = "pumping test";
    let rows: Vec<&Reading> = readings
        .iter()
        .filter(|r| r.time_d > 0.0 && r.radius_m > 0.0 && r.flow_m3_d > 0.0 && r.drawdown_m.is_finite())
        .collect();
    if rows.len() < 3 {
        return Err(PhysicsError::CannotFit { what: WHAT, why: "it takes three or more readings" });
    }
    // Sum of squares left and the best 1/(4 pi T) for a given ln(S/T).
    let at = |ln_ratio: f64| {
        let ratio = ln_ratio.exp();
        let (mut ww, mut sw, mut ss) = (0.0, 0.0, 0.0);
        for r in &rows {
            let w = r.flow_m3_d * well_function(r.radius_m * r.radius_m * ratio / (4.0 * r.time_d));
            ww += w * w;
            sw += r.drawdown_m * w;
            ss += r.drawdown_m * r.drawdown_m;
        }
        if ww > 0.0 && sw > 0.0 { (ss - sw * sw / ww, sw / ww) } else { (ss, 0.0) }
    };
    let (low, high, cells) = (-34.0_f64, -1.0_f64, 132);
    let width = (high - low) / f64::from(cells);
    let best = (0..=cells)
        .map(|k| low + width * f64::from(k))
        .min_by(|a, b| at(*a).0.total_cmp(&at(*b).0))
        .unwrap_or(low);
    let ln_ratio = golden(|x| at(x).0, best - width, best + width);
    let (left, inverse) = at(ln_ratio);
    if inverse <= 0.0 {
        return Err(PhysicsError::CannotFit {
            what: WHAT,
            why: "the levels do not fall; check which reading is the resting level",
        });
    }
    let transmissivity_m2_d = 1.0 / (4.0 * std::f64::consts::PI * inverse);
    let storativity = ln_ratio.exp() * transmissivity_m2_d;
    let rms_m = (left.max(0.0) / rows.len() as f64).sqrt();
    Ok(TheisFit { aquifer: Aquifer { transmissivity_m2_d, storativity }, rms_m })
}

/// Least point of a one-dip function by golden section.
fn golden(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut c, mut d) = (b - ratio * (b - a), a + ratio * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    for _ in 0..60 {
        if fc < fd {
            b = d;
            (d, fd) = (c, fc);
            c = b - ratio * (b - a);
            fc = f(c);
        } else {
            a = c;
            (c, fc) = (d, fd);
            d = a + ratio * (b - a);
            fd = f(d);
        }
    }
    0.5 * (a + b)
}
