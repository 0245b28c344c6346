//! Four-quadrant pump characteristics: what a centrifugal pump does when it turns backwards or water runs
//! back through it.
//!
//! A pump whose leads are swapped turns backwards at the same speed. These curves say what it still lifts
//! (0.63 of its best-point head at no flow) and what torque it takes (more than forward at no flow).

use std::f64::consts::{PI, TAU};

/// Head curve WH at 89 equal steps of theta from 0 to 2 pi.
///
/// Radial pump, specific speed 25 (rpm, m3/s, m; 1270 US). B. Donsky (1961), *J. Basic Eng.* 83, 685-699;
/// table in E. B. Wylie, V. L. Streeter, *Fluid Transients*. Where transcriptions differ the majority was
/// taken.
#[rustfmt::skip]
const WH: [f64; 89] = [
    0.634, 0.643, 0.646, 0.64, 0.629, 0.613, 0.595, 0.575, 0.552, 0.533, 0.516,
    0.505, 0.504, 0.51, 0.512, 0.522, 0.539, 0.559, 0.58, 0.601, 0.63, 0.662,
    0.692, 0.722, 0.753, 0.782, 0.808, 0.832, 0.857, 0.879, 0.904, 0.93, 0.959,
    0.996, 1.027, 1.06, 1.09, 1.124, 1.165, 1.204, 1.238, 1.258, 1.271, 1.282,
    1.288, 1.281, 1.26, 1.225, 1.172, 1.107, 1.031, 0.942, 0.842, 0.733, 0.617,
    0.5, 0.368, 0.24, 0.125, 0.011, -0.102, -0.168, -0.255, -0.342, -0.423, -0.494,
    -0.556, -0.62, -0.655, -0.67, -0.67, -0.66, -0.655, -0.64, -0.6, -0.57, -0.52,
    -0.47, -0.43, -0.36, -0.275, -0.16, -0.04, 0.13, 0.295, 0.43, 0.55, 0.62,
    0.634,
];

/// Torque curve WB at the same steps; the step between rows 66 and 67 is the published table's.
#[rustfmt::skip]
const WB: [f64; 89] = [
    -0.684, -0.547, -0.414, -0.292, -0.187, -0.105, -0.053, -0.012, 0.042, 0.097, 0.156,
    0.227, 0.3, 0.371, 0.444, 0.522, 0.596, 0.672, 0.738, 0.763, 0.797, 0.837,
    0.865, 0.883, 0.886, 0.877, 0.859, 0.838, 0.804, 0.758, 0.703, 0.645, 0.583,
    0.52, 0.454, 0.408, 0.37, 0.343, 0.331, 0.329, 0.338, 0.354, 0.372, 0.405,
    0.45, 0.486, 0.52, 0.552, 0.579, 0.603, 0.616, 0.617, 0.606, 0.582, 0.546,
    0.5, 0.432, 0.36, 0.288, 0.214, 0.123, 0.037, -0.053, -0.161, -0.248, -0.314,
    -0.372, -0.58, -0.74, -0.88, -1.0, -1.12, -1.25, -1.37, -1.49, -1.59, -1.66,
    -1.69, -1.77, -1.65, -1.59, -1.52, -1.42, -1.32, -1.23, -1.1, -0.98, -0.82,
    -0.684,
];

/// Steps of theta in one turn.
const STEPS: f64 = 88.0;

/// Suter's head and torque curves (WH, WB) at an angle.
///
/// # Equation
/// Linear between the 89 points of the table; periodic in 2 pi.
///
/// # Symbols
/// theta `theta_rad` any angle, rad: pi + atan2(v, alpha), see [`homologous`].
///
/// # Limits
/// One radial pump. A multistage submersible end has the same shape; take 15 % of doubt.
///
/// # Source
/// Donsky (1961); Wylie and Streeter, *Fluid Transients*.
///
/// ```
/// # use wellwright_physics::suter::suter;
/// assert_eq!(suter(0.0), (0.634, -0.684));
/// ```
#[inline]
pub fn suter(theta_rad: f64) -> (f64, f64) {
    let x = theta_rad.rem_euclid(TAU) * (STEPS / TAU);
    let k = (x.max(0.0) as usize).min(87);
    let t = x - k as f64;
    (WH[k] + t * (WH[k + 1] - WH[k]), WB[k] + t * (WB[k + 1] - WB[k]))
}

/// Head and torque (h, beta) per unit of the best-efficiency point.
///
/// # Equation
/// h = WH(theta) (alpha^2 + v^2), beta = WB(theta) (alpha^2 + v^2), theta = pi + atan2(v, alpha).
///
/// # Symbols
/// alpha `alpha` speed over rated speed, negative when reversed; v `v` flow over best-point flow at rated
/// speed, negative when water runs back. Any finite value.
///
/// # Limits
/// As [`suter`]. beta is counted in the forward direction: reversed and driven it is negative.
///
/// # Source
/// P. Suter (1966), *Sulzer Technical Review* (form); Donsky (1961) (data).
///
/// ```
/// # use wellwright_physics::suter::homologous;
/// let (head, torque) = homologous(-1.0, 0.0); // reversed, nothing delivered
/// assert!((head - 0.634).abs() < 1e-12 && (torque + 0.684).abs() < 1e-12);
/// ```
#[inline]
pub fn homologous(alpha: f64, v: f64) -> (f64, f64) {
    let size = alpha * alpha + v * v;
    let (wh, wb) = suter(PI + v.atan2(alpha));
    (wh * size, wb * size)
}
