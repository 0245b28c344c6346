//! What the sky may give: clear-sky irradiance in the plane of the array, and how likely a share of it is.

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;
use wellwright_physics::plant::Plant;
use wellwright_physics::sun::clear_sky::LINKE_CLEAN;
use wellwright_physics::sun::{Plane, plane_clear_sky};

use crate::causes::Context;
use crate::likelihood::{SharedErrors, log_sum_exp, logistic};

/// Turbidity that stands for an ordinary clear day over land.
const LINKE_ORDINARY: f64 = LINKE_CLEAN + 0.5;

/// The array looks elsewhere than the record says, or the clock behind the readings is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SkyShift {
    /// Telemetry clock less true time, h.
    pub clock_h: f64,
    /// Tilt less the record's, degrees.
    pub tilt_deg: f64,
    /// Azimuth less the record's, degrees.
    pub azimuth_deg: f64,
}

impl SkyShift {
    /// Irradiance in the plane under a clear sky, W/m2, at an instant of the telemetry's clock.
    pub fn clear_plane(&self, plant: &Plant, at: DateTime<FixedOffset>) -> Option<f64> {
        let v = &plant.view;
        let tilt = (v.plane.tilt_deg() + self.tilt_deg).clamp(0.0, 90.0);
        let azimuth = (v.plane.azimuth_deg() + self.azimuth_deg).rem_euclid(360.0);
        let plane = Plane::new(tilt, azimuth, v.plane.albedo()).ok()?;
        let at = at - TimeDelta::seconds((3600.0 * self.clock_h).round() as i64);
        let sky =
            plane_clear_sky(at.with_timezone(&Utc), &v.place, &plane, &v.horizon, LINKE_ORDINARY).ok()?;
        Some(sky.poa_w_m2)
    }

    /// Current of the array over the record's, over the steady points of the window; 0.8 without any.
    pub fn current_ratio(&self, context: &Context) -> f64 {
        let points = context.look.map_or(&[][..], |l| &l.steady);
        let sum = |shift: SkyShift| -> f64 {
            points.iter().filter_map(|p| shift.clear_plane(context.plant, p.at)).sum()
        };
        let recorded = sum(SkyShift::default());
        if recorded < 1.0 { 0.8 } else { sum(*self) / recorded }
    }
}

/// Irradiance in the plane under a clear sky.
pub fn clear_plane(plant: &Plant, at: DateTime<FixedOffset>) -> Option<f64> {
    SkyShift::default().clear_plane(plant, at)
}

/// Irradiance under a clear sky from which a pump is expected to try, W/m2.
const DAYLIGHT_W_M2: f64 = 120.0;

/// The sun stands high enough for a pump to try; so it is assumed at a place that cannot be computed.
pub fn is_day(plant: &Plant, at: DateTime<FixedOffset>) -> bool {
    clear_plane(plant, at).is_none_or(|g| g > DAYLIGHT_W_M2)
}

/// Nothing but the sun gives so much: W at the DC input, W/m2 on a sensor, and this share of the least voltage that a
/// controller lives on (at dusk an array still has most of its voltage; an hour later it has none).
const LIT: (f64, f64, f64) = (30.0, 100.0, 0.8);

/// The sun is up or down at least so long before and after, min.
const SURELY_MIN: i64 = 45;

/// So many minutes of light at night are no slip.
const LIT_MINUTES: usize = 3;

/// When the sun should be up, by the clock of a recording and the place of the record, and whether the recording
/// agrees.
pub struct Calendar<'a> {
    plant: &'a Plant,
    /// The array works in the dead of night: clock, offset or place is wrong.
    pub is_wrong: bool,
}

impl<'a> Calendar<'a> {
    /// Looks through a recording, a row a minute.
    pub fn new(plant: &'a Plant, samples: &[Sample]) -> Calendar<'a> {
        let mut asked: Option<DateTime<FixedOffset>> = None;
        let mut lit = 0;
        for s in samples {
            if asked.is_some_and(|at| (s.at - at).num_seconds() < 60) {
                continue;
            }
            asked = Some(s.at);
            if is_lit(plant, s) && is_dead_of_night(plant, s.at) {
                lit += 1;
            }
            if lit >= LIT_MINUTES {
                break;
            }
        }
        Calendar { plant, is_wrong: lit >= LIT_MINUTES }
    }

    /// The sun stands high enough for a pump to try, for all that is known.
    pub fn is_day(&self, at: DateTime<FixedOffset>) -> bool {
        self.is_wrong || is_day(self.plant, at)
    }
}

fn is_lit(plant: &Plant, s: &Sample) -> bool {
    let volts = s.get(Channel::ArrayV);
    let watts = volts.zip(s.get(Channel::ArrayA)).map(|(v, a)| v * a);
    let (w, w_m2, share) = LIT;
    watts.is_some_and(|p| p > w)
        || s.get(Channel::IrradianceWM2).is_some_and(|g| g > w_m2)
        || volts.is_some_and(|v| v > share * plant.controller.min_v)
}

fn is_dead_of_night(plant: &Plant, at: DateTime<FixedOffset>) -> bool {
    [-SURELY_MIN, 0, SURELY_MIN]
        .iter()
        .all(|minutes| clear_plane(plant, at + TimeDelta::minutes(*minutes)).is_some_and(|g| g < 1.0))
}

/// No sky gives more than this share of a clear one over minutes (cloud edges included).
const BRIGHTEST: f64 = 1.2;

/// One steady point against a clear sky, in the unit in which it speaks best: logarithm of irradiance, or of the
/// voltage where the array stands so far off its best point that the voltage hardly hangs on the irradiance.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyRow {
    /// Under each of [`KINDS`]: measured less predicted, and what a unit of ln G moves the prediction.
    pub of_kind: [(f64, f64); KINDS.len()],
    /// Hours from the middle of the window.
    pub hours: f64,
    /// Error of this point alone, 1 sigma, in its unit.
    pub own: f64,
    /// Error shared by all points, 1 sigma, in its unit.
    pub shared: f64,
    /// Clear-sky irradiance, W/m2.
    pub clear: f64,
    /// ln(G / G_clear) as the point itself tells it, with its error.
    pub log_ratio: (f64, f64),
}

impl SkyRow {
    /// A row in ln G.
    pub fn of_irradiance(log_ratio: f64, hours: f64, own: f64, shared: f64, clear: f64) -> SkyRow {
        let of_kind = KINDS.map(|k| (log_ratio - k.mean, 1.0));
        SkyRow { of_kind, hours, own, shared, clear, log_ratio: (log_ratio, own.hypot(shared)) }
    }
}

/// A kind of sky: how common, ln of its share of a clear one with its spread, how that drifts in an hour, and how
/// it scatters from point to point. Engineering judgement: clear days are common, haze takes up to a third,
/// clouds anything.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    weight: f64,
    /// ln of its share of a clear sky.
    pub mean: f64,
    spread: f64,
    per_hour: f64,
    scatter: f64,
}

/// Clear, hazy, the shadow of broken cloud, overcast.
pub const KINDS: [Kind; 4] = [
    Kind { weight: 0.55, mean: -0.01, spread: 0.08, per_hour: 0.05, scatter: 0.035 },
    Kind { weight: 0.22, mean: -0.22, spread: 0.14, per_hour: 0.08, scatter: 0.05 },
    Kind { weight: 0.15, mean: -0.85, spread: 0.55, per_hour: 0.0, scatter: 0.0 },
    Kind { weight: 0.08, mean: -1.2, spread: 0.6, per_hour: 0.2, scatter: 0.22 },
];

/// Which of [`KINDS`] is broken cloud.
const BROKEN: usize = 2;

/// Under broken cloud a point lies in the sun so often, and then so near the clear sky.
const SUNNY: (f64, f64) = (0.55, 0.09);

/// log density of the points under broken cloud: each for itself in the sun or in the shadow.
fn broken(points: &[SkyRow]) -> f64 {
    let normal = |z: f64, sigma: f64| -0.5 * (z / sigma).powi(2).min(30.0) - (2.506_628 * sigma).ln();
    let of = |p: &SkyRow| {
        let error = p.own.hypot(p.shared);
        let at = |k: usize, spread: f64| {
            let (residual, per_ln_g) = p.of_kind[k];
            normal(residual, (per_ln_g * spread).hypot(error))
        };
        log_sum_exp([SUNNY.0.ln() + at(0, SUNNY.1), (1.0 - SUNNY.0).ln() + at(BROKEN, KINDS[BROKEN].spread)])
    };
    points.iter().map(of).sum()
}

/// Chance of less than this share of a clear sky, whatever the weather is.
pub fn chance_below(share: f64) -> f64 {
    // a logistic curve of this steepness is the normal law to 0.01
    let below = |mean: f64, spread: f64| logistic(1.702 * (share.max(1e-3).ln() - mean) / spread);
    KINDS
        .iter()
        .enumerate()
        .map(|(k, kind)| {
            let own = below(kind.mean, kind.spread);
            let sunny = if k == BROKEN { SUNNY.0 } else { 0.0 };
            kind.weight * (sunny * below(KINDS[0].mean, SUNNY.1) + (1.0 - sunny) * own)
        })
        .sum()
}

/// log density of the window's points against a clear sky.
pub fn sky_log_density(points: &[SkyRow]) -> f64 {
    if points.is_empty() {
        return 0.0;
    }
    log_sum_exp(KINDS.iter().enumerate().map(|(k, kind)| {
        if k == BROKEN {
            return kind.weight.ln() + broken(points);
        }
        let mut rows = SharedErrors::default();
        for p in points {
            let (residual, per_ln_g) = p.of_kind[k];
            // low sun: haze, horizon and the model of the diffuse part weigh more
            let low = 0.06 * (150.0 / p.clear.max(20.0)).min(4.0);
            let own = (per_ln_g * kind.scatter.hypot(0.3 * low)).hypot(p.own);
            let loads =
                vec![per_ln_g * kind.spread, per_ln_g * kind.per_hour * p.hours, p.shared, per_ln_g * low];
            rows.push(residual, own, loads);
        }
        kind.weight.ln() + rows.log_density()
    })) + too_bright(points)
}

/// Broken cloud adds a fifth to a clear sky at the most. The brighter points tell it: of four the brightest.
fn too_bright(points: &[SkyRow]) -> f64 {
    let mut ratios: Vec<(f64, f64)> = points.iter().map(|p| p.log_ratio).collect();
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (bright, error): (f64, f64) = ratios[3 * ratios.len() / 4];
    let over = ((bright - BRIGHTEST.ln()) / f64::hypot(0.06, error)).max(0.0);
    -0.5 * over.min(6.0).powi(2)
}
