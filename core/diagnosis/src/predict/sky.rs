//! What the sky may give: clear-sky irradiance in the plane of the array, and how likely a share of it is.

use chrono::{DateTime, FixedOffset, Utc};
use wellwright_physics::plant::Plant;
use wellwright_physics::sun::clear_sky::LINKE_CLEAN;
use wellwright_physics::sun::plane_clear_sky;

use crate::likelihood::log_sum_exp;

/// Turbidity that stands for an ordinary clear day over land.
const LINKE_ORDINARY: f64 = LINKE_CLEAN + 0.5;

/// Irradiance in the plane under a clear sky.
pub fn clear_plane(plant: &Plant, at: DateTime<FixedOffset>) -> Option<f64> {
    let v = &plant.view;
    let sky = plane_clear_sky(at.with_timezone(&Utc), &v.place, &v.plane, &v.horizon, LINKE_ORDINARY).ok()?;
    Some(sky.poa_w_m2)
}

/// No sky gives more than this share of a clear one over minutes (cloud edges included).
const BRIGHTEST: f64 = 1.2;

/// log density of ln(G/G_clear) over a window without an irradiance sensor.
///
/// Clear days are common, haze takes up to a third, clouds anything; a smooth window is seldom a cloudy one.
/// The kinds and their weights are engineering judgement. `rough` is the error of each ln ratio, shared.
pub fn sky_log_density(log_ratio: &[f64], rough: f64) -> f64 {
    let mut sorted = log_ratio.to_vec();
    sorted.sort_by(f64::total_cmp);
    // the middle and the spread of the middle half: one odd point says nothing about the sky
    let at = |q: f64| sorted[((sorted.len() - 1) as f64 * q).round() as usize];
    let mean = at(0.5);
    let scatter = (at(0.75) - at(0.25)) / 1.35;
    let changing = (scatter / 0.08).min(1.0);
    // kind of sky: weight, mean of ln ratio, spread
    let kinds = [
        (0.60 * (1.0 - changing) + 0.12, -0.01, 0.07),
        (0.22, -0.22, 0.14),
        (0.10 + 0.45 * changing, -0.65, 0.45),
        (0.04 + 0.06 * changing, -1.3, 0.6),
    ];
    let total: f64 = kinds.iter().map(|k| k.0).sum();
    // broken cloud adds a quarter to a clear sky at the most
    let too_bright = ((mean - BRIGHTEST.ln()) / f64::hypot(0.06, rough)).max(0.0);
    let of_kinds = log_sum_exp(kinds.iter().map(|(w, m, s)| {
        let sigma = f64::hypot(*s, rough);
        f64::ln(w / total) - 0.5 * ((mean - m) / sigma).powi(2) - f64::ln(sigma * 2.506_628_274_631)
    }));
    of_kinds - 0.5 * too_bright * too_bright
}
