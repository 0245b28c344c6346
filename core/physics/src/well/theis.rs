//! Flow to a well in a confined aquifer: Theis, and Cooper and Jacob's short form.

use std::f64::consts::PI;

/// Euler's constant.
const EULER: f64 = 0.577_215_664_901_532_9;
/// ln 10.
const LN_10: f64 = std::f64::consts::LN_10;

/// An aquifer's two parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aquifer {
    /// Transmissivity T, m2/d, more than 0.
    pub transmissivity_m2_d: f64,
    /// Storativity S, 1e-7 to 0.5.
    pub storativity: f64,
}

impl Aquifer {
    /// u = r^2 S/(4 T t); `radius_m` m, `time_d` d.
    pub fn u(&self, radius_m: f64, time_d: f64) -> f64 {
        radius_m * radius_m * self.storativity / (4.0 * self.transmissivity_m2_d * time_d)
    }
}

/// A change of pumping rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateChange {
    /// When, d.
    pub at_d: f64,
    /// The rate from then on, m3/d; 0 is off.
    pub flow_m3_d: f64,
}

/// Theis' well function W(u), the exponential integral E1.
///
/// # Equation
/// W(u) = integral from u to infinity of exp(-x)/x dx; by its series up to u = 1, by its continued
/// fraction above. Relative error below 1e-12.
///
/// # Symbols
/// `u` more than 0; at 0 and below the answer is infinite.
///
/// # Source
/// L. K. Wenzel (1942), USGS Water-Supply Paper 887 (table); M. Abramowitz, I. A. Stegun (1964), 5.1.11
/// and 5.1.22.
///
/// ```
/// # use wellwright_physics::well::theis::well_function;
/// assert!((well_function(1e-3) - 6.3315).abs() < 5e-5); // Wenzel's table
/// assert!((well_function(1.0) - 0.2194).abs() < 5e-5);
/// ```
pub fn well_function(u: f64) -> f64 {
    if u <= 0.0 {
        return f64::INFINITY;
    }
    if u <= 1.0 {
        let mut sum = -EULER - u.ln();
        let mut term = -1.0;
        for k in 1..40 {
            let k = f64::from(k);
            term *= -u / k;
            sum += term / k;
            if (term / k).abs() < 1e-17 * sum.abs() {
                break;
            }
        }
        return sum;
    }
    // Lentz' evaluation of exp(-u) / (u + 1 - 1/(u + 3 - 4/(u + 5 - ...))).
    let mut b = u + 1.0;
    let mut c = 1e300;
    let mut d = 1.0 / b;
    let mut h = d;
    for k in 1..300 {
        let a = -f64::from(k) * f64::from(k);
        b += 2.0;
        d = 1.0 / (a * d + b);
        c = b + a / c;
        let factor = c * d;
        h *= factor;
        if (factor - 1.0).abs() < 1e-15 {
            break;
        }
    }
    h * (-u).exp()
}

/// Drawdown at a distance from a well pumped at a steady rate, m.
///
/// # Equation
/// s = Q W(u)/(4 pi T), u = r^2 S/(4 T t).
///
/// # Symbols
/// Q `flow_m3_d` m3/d; `aquifer`; r `radius_m` more than 0 m; t `time_d` since the start, d (0 or less: no
/// drawdown yet).
///
/// # Limits
/// Confined, even, unbounded aquifer; fully penetrating well without storage: see
/// [`casing_storage_ends_d`].
///
/// # Source
/// C. V. Theis (1935), *Trans. AGU* 16, 519-524.
///
/// ```
/// # use wellwright_physics::well::theis::{Aquifer, drawdown_m};
/// let a = Aquifer { transmissivity_m2_d: 250.0, storativity: 2e-4 };
/// // 120 m3/d, r 0.1 m, one minute: 0.46526 m (independent mpmath evaluation).
/// assert!((drawdown_m(120.0, &a, 0.1, 1.0 / 1440.0) - 0.46526).abs() < 1e-5);
/// ```
pub fn drawdown_m(flow_m3_d: f64, aquifer: &Aquifer, radius_m: f64, time_d: f64) -> f64 {
    if time_d <= 0.0 {
        return 0.0;
    }
    flow_m3_d * well_function(aquifer.u(radius_m, time_d)) / (4.0 * PI * aquifer.transmissivity_m2_d)
}

/// Drawdown by Cooper and Jacob's straight line, m.
///
/// # Equation
/// s = 2.303 Q/(4 pi T) log10[2.25 T t/(r^2 S)].
///
/// # Symbols
/// As [`drawdown_m`].
///
/// # Limits
/// u < 0.01 (0.25 % low), u < 0.05 (2 % low); beyond that it turns negative.
///
/// # Source
/// H. H. Cooper, C. E. Jacob (1946), *Trans. AGU* 27, 526-534.
pub fn cooper_jacob_m(flow_m3_d: f64, aquifer: &Aquifer, radius_m: f64, time_d: f64) -> f64 {
    let u = aquifer.u(radius_m, time_d);
    flow_m3_d * (-EULER - u.ln()) / (4.0 * PI * aquifer.transmissivity_m2_d)
}

/// Drawdown under a changing rate, m: every change is a well of its own that starts then (superposition).
///
/// # Symbols
/// `schedule` changes in order of time, rate 0 before the first; others as [`drawdown_m`].
///
/// # Source
/// Theis (1935); the equation is linear.
pub fn schedule_drawdown_m(schedule: &[RateChange], aquifer: &Aquifer, radius_m: f64, time_d: f64) -> f64 {
    let mut before = 0.0;
    let mut sum = 0.0;
    for change in schedule.iter().take_while(|c| c.at_d < time_d) {
        sum += drawdown_m(change.flow_m3_d - before, aquifer, radius_m, time_d - change.at_d);
        before = change.flow_m3_d;
    }
    sum
}

/// Transmissivity from the slope of a straight line on semi-logarithmic paper, m2/d.
///
/// # Equation
/// T = 2.303 Q/(4 pi ds).
///
/// # Symbols
/// Q `flow_m3_d` m3/d; ds `slope_m` drawdown per tenfold of time, m. For a recovery, residual drawdown per
/// tenfold of t/t'.
///
/// # Source
/// Cooper and Jacob (1946); Theis (1935) for the recovery.
///
/// ```
/// # use wellwright_physics::well::theis::transmissivity_from_slope;
/// // Kruseman and de Ridder (ILRI 47), Oude Korendijk, r = 30 m: 385 m2/d.
/// assert!((transmissivity_from_slope(788.0, 0.375) - 385.0).abs() < 1.0);
/// ```
pub fn transmissivity_from_slope(flow_m3_d: f64, slope_m: f64) -> f64 {
    LN_10 * flow_m3_d / (4.0 * PI * slope_m)
}

/// Storativity from where the straight line meets zero drawdown: S = 2.25 T t0/r^2; `t0_d` d, others as
/// [`drawdown_m`]. Source: Cooper and Jacob (1946).
pub fn storativity_from_intercept(transmissivity_m2_d: f64, t0_d: f64, radius_m: f64) -> f64 {
    2.25 * transmissivity_m2_d * t0_d / (radius_m * radius_m)
}

/// Aquifer from a match point of a curve laid over the type curve.
///
/// # Equation
/// T = Q W/(4 pi s), S = 4 T u t/r^2.
///
/// # Symbols
/// Q `flow_m3_d` m3/d; W `w` and u `u` on the type curve; s `drawdown_m` m and t/r^2 `t_over_r2_d_m2` d/m2
/// on the measured one. Any consistent units.
///
/// # Source
/// Theis (1935).
pub fn match_point(flow_m3_d: f64, w: f64, u: f64, drawdown_m: f64, t_over_r2_d_m2: f64) -> Aquifer {
    let transmissivity_m2_d = flow_m3_d * w / (4.0 * PI * drawdown_m);
    Aquifer { transmissivity_m2_d, storativity: 4.0 * transmissivity_m2_d * u * t_over_r2_d_m2 }
}

/// From when levels in the pumped well speak of the aquifer, not of the water in the casing, d: the early
/// and the careful estimate.
///
/// # Equation
/// 25 rc^2/T and 250 rc^2/T; rc `casing_radius_m` m, T `transmissivity_m2_d` m2/d.
///
/// # Source
/// Kruseman and de Ridder (1990), ILRI 47; I. S. Papadopulos, H. H. Cooper (1967), *Water Resour. Res.* 3,
/// 241-244 (both from memory).
pub fn casing_storage_ends_d(casing_radius_m: f64, transmissivity_m2_d: f64) -> (f64, f64) {
    let unit = casing_radius_m * casing_radius_m / transmissivity_m2_d;
    (25.0 * unit, 250.0 * unit)
}
