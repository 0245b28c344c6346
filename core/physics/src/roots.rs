//! A bracketed root finder (Brent's method): where two curves meet.
//!
//! Safe before fast: the root stays between the two ends whatever the curve looks like.

use crate::error::PhysicsError;

/// Finds `x` with `f(x) = 0` between `lo` and `hi`.
///
/// # Equation
/// Inverse quadratic interpolation or secant while they shrink the bracket fast enough, bisection otherwise.
///
/// # Symbols
/// `f` continuous on `[lo, hi]` with opposite signs at the ends; `x_tol` accepted width, unit of `x`, at
/// least 0; `which` names the two curves for the message.
///
/// # Source
/// R. P. Brent (1973), *Algorithms for Minimization without Derivatives*, chapter 4.
///
/// # Errors
/// [`PhysicsError::NoMeeting`] when `f` has the same sign at both ends or is not a number there.
///
/// ```
/// # use wellwright_physics::roots::brent;
/// // The smooth-pipe law at Re 1e4: f = 0.0309 (White, Fluid Mechanics, table of the smooth-wall law).
/// let law = |f: f64| 1.0 / f.sqrt() + 2.0 * (2.51 / (1e4 * f.sqrt())).log10();
/// assert!((brent(law, 0.01, 0.1, 1e-12, "both sides of the law").unwrap() - 0.0309).abs() < 5e-5);
/// ```
pub fn brent(
    mut f: impl FnMut(f64) -> f64,
    lo: f64,
    hi: f64,
    x_tol: f64,
    which: &'static str,
) -> Result<f64, PhysicsError> {
    let ends = [(lo, f(lo)), (hi, f(hi))];
    brent_between(f, ends, x_tol, 0.0, which)
}

/// As [`brent`], with the values at both ends already at hand, and done as soon as |f| is at most `f_tol`.
pub(crate) fn brent_between(
    mut f: impl FnMut(f64) -> f64,
    ends: [(f64, f64); 2],
    x_tol: f64,
    f_tol: f64,
    which: &'static str,
) -> Result<f64, PhysicsError> {
    let [(mut a, mut fa), (mut b, mut fb)] = ends;
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if !(fa * fb).is_sign_negative() || fa.is_nan() || fb.is_nan() {
        return Err(PhysicsError::NoMeeting { which });
    }
    let (mut c, mut fc) = (a, fa);
    let mut d = b - a;
    let mut e = d;
    for _ in 0..200 {
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            d = b - a;
            e = d;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let tol = 2.0 * f64::EPSILON * b.abs() + 0.5 * x_tol;
        let half = 0.5 * (c - b);
        if half.abs() <= tol || fb.abs() <= f_tol {
            break;
        }
        if e.abs() >= tol && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (r, t) = (fb / fc, fa / fc);
                (s * (2.0 * half * t * (t - r) - (b - a) * (r - 1.0)), (t - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            }
            p = p.abs();
            if 2.0 * p < (3.0 * half * q - (tol * q).abs()).min((e * q).abs()) {
                e = d;
                d = p / q;
            } else {
                d = half;
                e = d;
            }
        } else {
            d = half;
            e = d;
        }
        (a, fa) = (b, fb);
        b += if d.abs() > tol { d } else { tol.copysign(half) };
        fb = f(b);
    }
    Ok(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_simple_and_stiff_roots() {
        let r = brent(|x| x * x - 2.0, 0.0, 2.0, 0.0, "t").unwrap();
        assert!((r - 2.0_f64.sqrt()).abs() < 1e-15);
        let r = brent(|x: f64| (x - 0.1).powi(9), -4.0, 4.0, 1e-12, "t").unwrap();
        assert!((r - 0.1).abs() < 1e-9);
        let r = brent(|x: f64| (40.0 * x).exp() - 1e9, 0.0, 10.0, 1e-13, "t").unwrap();
        assert!((r - 1e9_f64.ln() / 40.0).abs() < 1e-12);
    }

    #[test]
    fn refuses_curves_that_do_not_meet() {
        let e = brent(|x| x * x + 1.0, -1.0, 1.0, 0.0, "pump and pipe").unwrap_err();
        assert_eq!(e.to_string(), "pump and pipe do not meet");
        assert!(brent(|_| f64::NAN, -1.0, 1.0, 0.0, "t").is_err());
    }
}
