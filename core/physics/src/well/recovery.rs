//! The level coming back after the pump stops.

use super::theis::{Aquifer, RateChange, schedule_drawdown_m, transmissivity_from_slope};
use crate::error::PhysicsError;

/// Drawdown that is left some time after a steady run, m.
///
/// # Equation
/// s' = Q/(4 pi T) [W(u) - W(u')], u for the time since the start, u' for the time since the stop.
///
/// # Symbols
/// Q `flow_m3_d` m3/d; `aquifer`; r `radius_m` m; `pumped_d` length of the run, d; `rested_d` time since
/// the stop, d, more than 0.
///
/// # Limits
/// The aquifer's share only: loss at the well itself ends with the flow.
///
/// # Source
/// C. V. Theis (1935), *Trans. AGU* 16, 519-524.
///
/// ```
/// # use wellwright_physics::well::{recovery::residual_drawdown_m, theis::Aquifer};
/// let a = Aquifer { transmissivity_m2_d: 55.0, storativity: 1e-3 };
/// // t/t' = 10: one log cycle, 2.303 x 120/(4 pi 55) = 0.400 m.
/// assert!((residual_drawdown_m(120.0, &a, 0.1, 0.9, 0.1) - 0.400).abs() < 0.001);
/// ```
pub fn residual_drawdown_m(
    flow_m3_d: f64,
    aquifer: &Aquifer,
    radius_m: f64,
    pumped_d: f64,
    rested_d: f64,
) -> f64 {
    let run = [RateChange { at_d: 0.0, flow_m3_d }, RateChange { at_d: pumped_d, flow_m3_d: 0.0 }];
    schedule_drawdown_m(&run, aquifer, radius_m, pumped_d + rested_d)
}

/// Transmissivity from levels taken after a steady run, m2/d.
///
/// # Equation
/// T = 2.303 Q/(4 pi ds'), ds' the slope of s' over log10(t/t') by least squares.
///
/// # Symbols
/// Q `flow_m3_d` m3/d; `pumped_d` length of the run, d; `levels` pairs (time since the stop t', d, more
/// than 0; residual drawdown s', m).
///
/// # Limits
/// Late readings, when u' < 0.05; leave out those inside
/// [`casing_storage_ends_d`](super::theis::casing_storage_ends_d).
///
/// # Source
/// Theis (1935).
///
/// # Errors
/// [`PhysicsError::CannotFit`] with fewer than two different times or when the level does not rise.
pub fn transmissivity_from_recovery(
    flow_m3_d: f64,
    pumped_d: f64,
    levels: &[(f64, f64)],
) -> Result<f64, PhysicsError> {
    const WHAT: &str = "transmissivity from recovery";
    let rows: Vec<(f64, f64)> = levels
        .iter()
        .filter(|(t, s)| *t > 0.0 && s.is_finite())
        .map(|&(t, s)| ((1.0 + pumped_d / t).log10(), s))
        .collect();
    let n = rows.len() as f64;
    let mean_x = rows.iter().map(|r| r.0).sum::<f64>() / n;
    let mean_s = rows.iter().map(|r| r.1).sum::<f64>() / n;
    let sxx: f64 = rows.iter().map(|r| (r.0 - mean_x).powi(2)).sum();
    let sxy: f64 = rows.iter().map(|r| (r.0 - mean_x) * (r.1 - mean_s)).sum();
    if rows.len() < 2 || sxx <= 0.0 {
        return Err(PhysicsError::CannotFit {
            what: WHAT,
            why: "it takes levels at two or more different times after the stop",
        });
    }
    let slope = sxy / sxx;
    if slope <= 0.0 {
        return Err(PhysicsError::CannotFit {
            what: WHAT,
            why: "the level does not come back; check the times and that the pump stood",
        });
    }
    Ok(transmissivity_from_slope(flow_m3_d, slope))
}
