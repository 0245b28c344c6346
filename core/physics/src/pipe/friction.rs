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
        bridge(re, rel_rough)
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
/// # Source
/// C. F. Colebrook (1939), *J. Inst. Civ. Eng.* 11, 133-156. Start: S. E. Haaland (1983), *J. Fluids Eng.*
/// 105, 89-90; then Newton to 1e-12.
///
/// ```
/// # use wellwright_physics::pipe::colebrook;
/// assert!((colebrook(1e4, 0.0) - 0.0309).abs() < 5e-5); // White, Fluid Mechanics (from memory)
/// ```
#[inline]
pub fn colebrook(re: f64, rel_rough: f64) -> f64 {
    let x = inverse_root(re, rel_rough);
    1.0 / (x * x)
}

/// 1/sqrt(f) by Colebrook.
#[inline]
fn inverse_root(re: f64, rel_rough: f64) -> f64 {
    let rough = rel_rough / 3.7;
    let mut x = -1.8 * (rough.powf(1.11) + 6.9 / re).log10();
    for _ in 0..8 {
        let inside = rough + 2.51 * x / re;
        let step = (x + 2.0 * inside.log10()) / (1.0 + share_of_viscosity(inside, re));
        x -= step;
        if step.abs() < 1e-7 * x {
            break;
        }
    }
    x
}

/// d(-2 log10 inside)/dx, sign changed.
#[inline]
fn share_of_viscosity(inside: f64, re: f64) -> f64 {
    2.0 * std::f64::consts::LOG10_E * 2.51 / (re * inside)
}

fn bridge(re: f64, rel_rough: f64) -> f64 {
    let x = inverse_root(TURBULENT_RE, rel_rough);
    let inside = rel_rough / 3.7 + 2.51 * x / TURBULENT_RE;
    let m = share_of_viscosity(inside, TURBULENT_RE);
    let width = (TURBULENT_RE / LAMINAR_RE).ln();
    let (y0, y1) = ((64.0 / LAMINAR_RE).ln(), -2.0 * x.ln());
    // Slopes of ln f over ln Re at the two ends, over the whole width.
    let (d0, d1) = (-width, -2.0 * m / (1.0 + m) * width);
    let t = (re / LAMINAR_RE).ln() / width;
    let s = 1.0 - t;
    let y = (1.0 + 2.0 * t) * s * s * y0 + t * s * s * d0 + t * t * (3.0 - 2.0 * t) * y1 - t * t * s * d1;
    y.exp()
}
