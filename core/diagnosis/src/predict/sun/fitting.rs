//! One array condition fitted to a window, point by point.

use wellwright_physics::plant::{ArrayCondition, Plant};

use super::held_point::HeldPoint;
use super::turned::Turned;
use super::{
    AMPS, ArrayQuestion, CELL_K, CURRENT, MODULE_I, MODULE_V, SENSOR, SHARED, SunFit, SunPoint, SunSide,
    TRACKING, VOLTAGE, VOLTS, sensor_scatter,
};
use crate::baseline::Beside;
use crate::likelihood::SharedErrors;
use crate::predict::peaks::PeakTable;
use crate::predict::sky::{SkyRow, sky_log_density};

/// Clear-sky irradiance below which there is no day, W/m2.
const LEAST_CLEAR: f64 = 20.0;

/// Extra spread of ln V and of ln I under a fault that nothing here describes.
const LOOSE: (f64, f64) = (0.3, 0.7);

/// Error of the power of the best point beside those of sensor, module and meters, 1 sigma of ln: cells and lag of the
/// sensor; and standard deviations after which more costs no more.
const OWN: f64 = 0.03;
const MOST_BEYOND: f64 = 5.0;

/// Light at night costs so much, natural log.
const DARK: f64 = 6.0;

/// Light where no sun can be.
fn dark(lit: bool, irradiance: f64) -> f64 {
    if !lit && irradiance > 60.0 { DARK } else { 0.0 }
}

/// What a sound controller gives up when it is warm: 1 sigma of ln voltage and of ln power (engineering judgement).
const WARM: (f64, f64) = (0.05, 0.06);

/// How far the means of a row that mixes a limit and the sun lie from any one point, 1 sigma of ln voltage and of ln
/// irradiance (engineering judgement).
const MIXED: (f64, f64) = (0.06, 0.15);

/// Spread of ln power in weak light: modules differ from their data sheet, and the controller's own draw counts.
fn weak_light(irradiance: f64) -> f64 {
    0.25 * (100.0 / irradiance.max(40.0)).powf(1.5)
}

/// Spread of ln voltage in weak light, where what leaks through the cells counts, and modules differ in it.
pub(super) fn weak_light_v(irradiance: f64) -> f64 {
    0.02 * (100.0 / irradiance.max(1.0)).min(3.0)
}

/// Spread of ln current between the few darknesses and shares that stand for all shades: at the right peak the
/// darkest substrings carry it.
fn between_shades(c: &ArrayCondition) -> f64 {
    c.shade.map_or(0.0, |s| if s.right_peak { 0.15 } else { 0.06 })
}

/// The rows of one fit.
pub(super) struct Rows<'k> {
    errors: SharedErrors,
    beside: Beside<'k>,
}

impl Rows<'_> {
    /// By how much what is known of the array moves a row, and the loadings on what is left unknown. `more`: errors
    /// beside those of the array itself.
    fn left(&self, mut loads: [f64; SHARED], more: [f64; VOLTAGE]) -> (f64, Vec<f64>) {
        if self.beside.is_nothing() {
            for (l, m) in loads.iter_mut().zip(more).filter(|(_, m)| *m > 0.0) {
                *l = l.hypot(m);
            }
            return (0.0, loads.to_vec());
        }
        let mut extra = more.to_vec();
        for l in &mut loads[VOLTAGE..CELL_K] {
            let (stays, goes) = self.beside.parts(*l);
            *l = stays;
            extra.push(goes);
        }
        let moved = self.beside.narrow(&mut loads);
        (moved, [loads.to_vec(), extra].concat())
    }

    pub(super) fn push(&mut self, residual: f64, own: f64, loads: [f64; SHARED], more: [f64; VOLTAGE]) {
        let (moved, left) = self.left(loads, more);
        self.errors.push(residual - moved, own, left);
    }
}

/// A fit on its way from point to point.
pub(super) struct Fitting<'k> {
    side: &'k SunSide,
    plant: &'k Plant,
    table: &'k PeakTable,
    q: &'k ArrayQuestion,
    /// Extra spread of ln V and of ln I.
    loose: (f64, f64),
    pub(super) rows: Rows<'k>,
    sky: Vec<SkyRow>,
    irradiance: Vec<f64>,
    best_v: Vec<f64>,
    clear: Vec<f64>,
    /// All densities are told as densities of the same readings, so that hypotheses compare: what turns them so.
    in_volts: f64,
    /// A voltage of its own lies anywhere in what it lets the array give, as a limit does: it is the points after the
    /// first whose current the light moves.
    first_turn: Option<f64>,
    at_night: f64,
    /// ln of the power over the most that the array gives in the light that the sensor tells, at held points.
    over: Vec<f64>,
}

impl<'k> Fitting<'k> {
    pub(super) fn new(
        side: &'k SunSide,
        plant: &'k Plant,
        table: &'k PeakTable,
        q: &'k ArrayQuestion,
        beside: Beside<'k>,
    ) -> Fitting<'k> {
        Fitting {
            side,
            plant,
            table,
            q,
            loose: if q.loose { LOOSE } else { (0.0, 0.0) },
            rows: Rows { errors: SharedErrors::default(), beside },
            sky: Vec::new(),
            irradiance: Vec::new(),
            best_v: Vec::new(),
            clear: Vec::new(),
            in_volts: 0.0,
            first_turn: None,
            at_night: 0.0,
            over: Vec::new(),
        }
    }

    /// Clear-sky irradiance at a point as the hypothesis has it, W/m2.
    fn clear_at(&self, k: usize) -> f64 {
        self.q.clear.as_ref().map_or(self.side.points[k].clear, |c| c[k])
    }

    /// The irradiance sensor at a point, put right, W/m2; `None` where there is none, or next to no light.
    fn sensor_at(&self, k: usize) -> Option<f64> {
        self.side.points[k].sensor.map(|g| g / self.q.sensor_ratio).filter(|g| *g > 20.0)
    }

    /// A sensor's light against a clear sky.
    fn sky_by_sensor(&self, k: usize, g: f64) -> SkyRow {
        let (p, clear) = (&self.side.points[k], self.clear_at(k));
        SkyRow::of_irradiance((g / clear).ln(), p.hours, sensor_scatter(g), self.side.sensor_sigma, clear)
    }

    /// A point that something else than the sun holds: anywhere on the curve.
    pub(super) fn held(&mut self, k: usize) {
        let (p, c) = (&self.side.points[k], &self.q.condition);
        let (sensor, clear) = (self.sensor_at(k), self.clear_at(k));
        let lit = clear > LEAST_CLEAR;
        let g = sensor.unwrap_or(clear);
        let held = HeldPoint {
            side: self.side,
            plant: self.plant,
            condition: c,
            point: p,
            stuck: self.q.stuck[k],
            loose_v: self.loose.0.hypot(weak_light_v(g)),
            loose_g: self.loose.1.hypot(weak_light(g)).hypot(between_shades(c)),
        };
        if let Some(g) = sensor {
            let row = held.by_sensor(self.table, g);
            self.rows.push(row.residual, row.own, row.loads, row.more);
            self.turns(row.turn);
            // left of the right peak of a shaded array there may be a higher one
            if c.shade.is_none_or(|shade| !shade.right_peak) {
                let most = self.table.at(g, self.side.cell_c(p, g)).p;
                self.over.push((p.v * p.i / most.max(1.0)).ln());
            }
            if lit {
                self.sky.push(self.sky_by_sensor(k, g));
            }
            self.at_night += dark(lit, g);
        } else if lit {
            let (row, turn) = held.by_sky(clear);
            self.sky.push(row);
            self.turns(turn);
        } else {
            self.at_night += DARK;
        }
        self.clear.push(clear);
        self.irradiance.push(g);
        self.best_v.push(self.table.at(g, self.side.cell_c(p, g)).v);
    }

    /// What it costs that a held point takes more than its light gives, natural log: along the curve the current at a
    /// voltage hardly tells that there is no such point.
    fn beyond(&self) -> f64 {
        if self.over.is_empty() {
            return 0.0;
        }
        let mean = self.over.iter().sum::<f64>() / self.over.len() as f64;
        let side = self.side;
        let errors =
            [side.sensor_sigma, side.current_sigma, side.voltage_sigma, AMPS, VOLTS, OWN, self.loose.1];
        let sigma = errors.into_iter().fold(0.0, f64::hypot);
        -0.5 * (mean.max(0.0) / sigma).min(MOST_BEYOND).powi(2)
    }

    fn turns(&mut self, turn: f64) {
        self.in_volts += turn;
        self.first_turn.get_or_insert(turn);
    }

    /// A point that the sun alone holds: at the best point of the array, whose power tells the light.
    pub(super) fn at_best(&mut self, k: usize) {
        let p = &self.side.points[k];
        let (sensor, clear) = (self.sensor_at(k), self.clear_at(k));
        let lit = clear > LEAST_CLEAR;
        let turned = self.side.by_power(self.table, p);
        if turned.best.v > 0.0 {
            self.best_voltage(p, &turned);
        }
        let (loads, more, noise) = self.of_light(p, &turned);
        if let Some(g) = sensor {
            let mut loads = loads;
            loads[SENSOR] = self.side.sensor_sigma;
            let own = sensor_scatter(g).hypot(noise);
            self.rows.push((turned.irradiance.max(1.0) / g).ln(), own, loads, more);
        }
        if lit {
            self.sky.push(sensor.map_or_else(
                || {
                    let (moved, left) = self.rows.left(loads, more);
                    let shared = left.iter().map(|l| l * l).sum::<f64>().sqrt();
                    let by_power = (turned.irradiance.max(1.0) / clear).ln() - moved;
                    SkyRow::of_irradiance(by_power, p.hours, noise, shared, clear)
                },
                |g| self.sky_by_sensor(k, g),
            ));
        }
        self.at_night += dark(lit, turned.irradiance);
        self.clear.push(clear);
        self.irradiance.push(turned.irradiance);
        self.best_v.push(turned.best.v);
    }

    /// The voltage of a point against that of the best point.
    fn best_voltage(&mut self, p: &SunPoint, turned: &Turned) {
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = VOLTS;
        loads[MODULE_V] = self.side.voltage_sigma;
        loads[CELL_K] = -turned.v_per_k * self.side.cell_sigma_k;
        // the best point is flat: 1 % of power is 3 % of voltage; in weak light more, and modules differ
        let flat = 0.03 * (150.0 / turned.irradiance.max(50.0)).min(2.0);
        loads[TRACKING] = 0.025;
        let warm = if p.warm { WARM.0 } else { 0.0 };
        let more = [self.loose.0.hypot(0.2 * between_shades(&self.q.condition)), 0.0, flat.hypot(warm)];
        let own: f64 = if p.in_cloud { 0.045 } else { 0.009 };
        let own = if p.mixed { own.hypot(MIXED.0) } else { own };
        self.rows.push((p.v / turned.best.v).ln(), f64::hypot(own, p.v_own / p.v), loads, more);
    }

    /// Loadings, further spreads and scatter of the light that the power of a point tells, ln.
    fn of_light(&self, p: &SunPoint, turned: &Turned) -> ([f64; SHARED], [f64; VOLTAGE], f64) {
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = VOLTS;
        loads[CURRENT] = AMPS;
        loads[MODULE_V] = self.side.voltage_sigma;
        loads[MODULE_I] = self.side.current_sigma;
        loads[TRACKING] = if p.warm { -WARM.1 } else { 0.0 };
        loads[CELL_K] = turned.g_per_k * self.side.cell_sigma_k;
        let weak = weak_light(turned.irradiance);
        let more = [0.0, self.loose.1.hypot(weak).hypot(between_shades(&self.q.condition)), 0.0];
        let noise = (p.v_own / p.v).hypot(p.i_own / p.i.max(0.05));
        (loads, more, if p.mixed { noise.hypot(MIXED.1) } else { noise })
    }

    pub(super) fn done(self) -> SunFit {
        let kept = if self.q.keeps { self.first_turn.unwrap_or(0.0) } else { 0.0 };
        let sky = sky_log_density(&self.sky) - self.at_night;
        let beyond = self.beyond();
        let errors = self.rows.errors;
        SunFit {
            log_likelihood: errors.log_density() + sky + self.in_volts - kept + beyond,
            sky,
            clear: self.clear,
            errors,
            irradiance: self.irradiance,
            best_v: self.best_v,
            free: self.q.free.clone(),
            sensor_ratio: self.q.sensor_ratio,
        }
    }
}
