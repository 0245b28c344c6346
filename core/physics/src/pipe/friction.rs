//! The Darcy friction factor over the whole range of flow, without a jump.

/// Below this Reynolds number the flow is laminar.
pub const LAMINAR_RE: f64 = 2000.0;
/// Above this Reynolds number the flow is turbulent.
pub const TURBULENT_RE: f64 = 4000.0;

/// Darcy friction factor.
///
/// # Equation
/// Re <= 2000: f = 64/Re. Re >= 4000: [`colebrook`]. Between: a cubic in ln f over ln Re that meets both
/// with value and slope, so that the loss rises with the flow everywhere.
///
/// # Symbols
/// Re `re` more than 0; eps/D `rel_rough` 0 to 0.05.
///
/// # Limits
/// Between 2000 and 4000 real flow is unsteady and no formula is right; ours is smooth.
///
/// # Source
/// Hagen-Poiseuille; Colebrook (1939). The bridge is ours.
///
/// ```
/// # use wellwright_physics::pipe::friction_factor;
/// assert_eq!(friction_factor(1000.0, 0.0), 0.064);
/// assert!((friction_factor(1e5, 1e-3) - 0.022175).abs() < 1e-6);
/// ```
#[inline]
pub fn friction_factor(re: f64, rel_rough: f64) -> f64 {
    if re <= LAMINAR_RE {
        64.0 / re
    } else if re >= TURBULENT_RE {
        colebrook(re, rel_rough)
    } else {
        bridge(re, rel_rough).0
    }
}

/// Darcy friction factor of turbulent flow.
///
/// # Equation
/// 1/sqrt(f) = -2 log10[eps/(3.7 D) + 2.51/(Re sqrt(f))].
///
/// # Symbols
/// Re `re` 4000 to 1e8; eps/D `rel_rough` 0 to 0.05.
///
/// # Limits
/// Solved to 1e-12: one substitution, then two steps of Halley's method, three logarithms in all.
///
/// # Source
/// C. F. Colebrook (1939), *J. Inst. Civ. Eng.* 11, 133-156.
///
/// ```
/// # use wellwright_physics::pipe::colebrook;
/// assert!((colebrook(1e4, 0.0) - 0.0309).abs() < 5e-5); // White, Fluid Mechanics (from memory)
/// ```
#[inline]
pub fn colebrook(re: f64, rel_rough: f64) -> f64 {
    let (x, _) = inverse_root(re, rel_rough);
    1.0 / (x * x)
}

/// Darcy friction factor and its slope d ln f/d ln Re, for Re above [`LAMINAR_RE`].
///
/// # Symbols, limits, source
/// As [`friction_factor`]. The slope lies between -1 (laminar) and 0 (rough wall).
#[inline]
pub(super) fn friction_and_slope(re: f64, rel_rough: f64) -> (f64, f64) {
    if re >= TURBULENT_RE {
        let (x, m) = inverse_root(re, rel_rough);
        (1.0 / (x * x), -2.0 * m / (1.0 + m))
    } else {
        bridge(re, rel_rough)
    }
}

/// 2/ln 10: -2 log10 y = -`TWO_LOG` ln y.
const TWO_LOG: f64 = 2.0 * std::f64::consts::LOG10_E;

/// x = 1/sqrt(f) by Colebrook, and m = d(-2 log10 inside)/dx with its sign changed.
///
/// # Equation
/// F(x) = x + c ln(r + s x) = 0, c = 2/ln 10, r = eps/(3.7 D), s = 2.51/Re. From x = 7, the middle of all
/// pipes, one substitution comes within 0.4, and Halley's method cubes what is left twice.
#[inline]
fn inverse_root(re: f64, rel_rough: f64) -> (f64, f64) {
    let r = rel_rough / 3.7;
    let s = 2.51 / re;
    let mut x = -TWO_LOG * (r + s * 7.0).ln();
    for _ in 0..2 {
        let inside = r + s * x;
        let m = TWO_LOG * s / inside;
        let f = x + TWO_LOG * inside.ln();
        let slope = 1.0 + m;
        // F'' = -m s/inside
        x -= f / (slope + 0.5 * f * m * s / (inside * slope));
    }
    (x, TWO_LOG * s / (r + s * x))
}

/// Friction factor between laminar and turbulent flow, and its slope d ln f/d ln Re.
fn bridge(re: f64, rel_rough: f64) -> (f64, f64) {
    let (x, m) = inverse_root(TURBULENT_RE, rel_rough);
    let width = (TURBULENT_RE / LAMINAR_RE).ln();
    let (y0, y1) = ((64.0 / LAMINAR_RE).ln(), -2.0 * x.ln());
    // Slopes of ln f over ln Re at the two ends, over the whole width.
    let (d0, d1) = (-width, -2.0 * m / (1.0 + m) * width);
    let t = (re / LAMINAR_RE).ln() / width;
    let s = 1.0 - t;
    let y = (1.0 + 2.0 * t) * s * s * y0 + t * s * s * d0 + t * t * (3.0 - 2.0 * t) * y1 - t * t * s * d1;
    let dy = 6.0 * t * s * (y1 - y0) + s * (1.0 - 3.0 * t) * d0 + t * (3.0 * t - 2.0) * d1;
    (y.exp(), dy / width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_logarithms_are_enough() {
        for k in 0..=440 {
            let re = TURBULENT_RE * 10f64.powf(f64::from(k) * 0.01);
            for rough in [0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.05] {
                let (x, _) = inverse_root(re, rough);
                let left = x + TWO_LOG * (rough / 3.7 + 2.51 / re * x).ln();
                assert!(left.abs() < 1e-12 * x, "Re {re}, eps/D {rough}: {left}");
            }
        }
    }

    #[test]
    fn slope_is_that_of_the_factor() {
        for re in [2001.0, 2500.0, 3100.0, 3999.0, 4001.0, 2e4, 1e6] {
            for rough in [0.0, 1e-4, 1e-2] {
                let h = 1e-6;
                let (up, down) =
                    (friction_factor(re * (1.0 + h), rough), friction_factor(re * (1.0 - h), rough));
                let (_, slope) = friction_and_slope(re, rough);
                assert!(
                    ((up / down).ln() / (2.0 * h) - slope).abs() < 2e-4,
                    "Re {re}, eps/D {rough}: {slope}"
                );
            }
        }
    }
}
