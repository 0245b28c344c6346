//! How one array condition fits the points of a window: voltage, irradiance sensor, sky, rest.

use wellwright_physics::cell_temperature::{cell_from_back, noct};
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::held_point::HeldPoint;
use super::{
    AMPS, ArrayQuestion, CELL_K, CURRENT, MODULE_I, MODULE_V, Rest, SENSOR, SHARED, SunFit, SunSide,
    TRACKING, VOLTAGE, VOLTS, sensor_scatter,
};
use crate::baseline::Beside;
use crate::likelihood::SharedErrors;
use crate::predict::peaks::Peaks;
use crate::predict::sky::{SkyRow, sky_log_density};

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
fn weak_light_v(irradiance: f64) -> f64 {
    0.02 * (100.0 / irradiance.max(1.0)).min(3.0)
}

/// Spread of ln current between the few darknesses and shares that stand for all shades: at the right peak the
/// darkest substrings carry it.
fn between_shades(c: &ArrayCondition) -> f64 {
    c.shade.map_or(0.0, |s| if s.right_peak { 0.15 } else { 0.06 })
}

/// Below this share of the best point's voltage no limit holds a controller: what takes less than the array could give
/// lets its voltage rise. There it stands at a peak, or keeps a voltage of its own.
const LEFT: f64 = 0.9;

/// The rows of one fit.
struct Rows<'k> {
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

    fn push(&mut self, residual: f64, own: f64, loads: [f64; SHARED], more: [f64; VOLTAGE]) {
        let (moved, left) = self.left(loads, more);
        self.errors.push(residual - moved, own, left);
    }
}

impl SunSide {
    /// Fits one condition of the array under what a hypothesis says of it; a baseline narrows what is not
    /// known.
    pub fn fit(&self, plant: &Plant, peaks: &Peaks, q: &ArrayQuestion, beside: Beside) -> SunFit {
        let held = self.fit_points(plant, peaks, q, beside);
        let left = |k: usize| self.points[k].v < LEFT * held.best_v[k];
        let held_left: Vec<bool> = q.free.iter().enumerate().map(|(k, free)| !free && left(k)).collect();
        // between the peaks of a shaded array a limit may hold it at any voltage
        if q.keeps || q.condition.shade.is_some() || !held_left.contains(&true) {
            return held;
        }
        // it must be both on the curve and at its best point
        let free = q.free.iter().zip(held_left).map(|(free, left)| *free || left).collect();
        let at_best = self.fit_points(plant, peaks, &ArrayQuestion { free, ..q.clone() }, beside);
        if at_best.log_likelihood < held.log_likelihood { at_best } else { held }
    }

    fn fit_points(&self, plant: &Plant, peaks: &Peaks, q: &ArrayQuestion, beside: Beside) -> SunFit {
        let c = &q.condition;
        let table = peaks.held(c);
        let mut rows = Rows { errors: SharedErrors::default(), beside };
        let mut irradiance = Vec::new();
        let mut best_v = Vec::new();
        let mut sky = Vec::new();
        // all densities told as densities of the same readings, so that hypotheses compare
        let mut in_volts = 0.0;
        let (mut at_night, mut clear_sky) = (0.0, Vec::new());
        // a voltage of its own lies anywhere in what it lets the array give, as a limit does: it is the points after
        // the first whose current the light moves
        let mut first_stuck = None;
        let (loose_v, loose_g): (f64, f64) = if q.loose { (0.3, 0.7) } else { (0.0, 0.0) };
        for (k, p) in self.points.iter().enumerate() {
            let sensor = p.sensor.map(|g| g / q.sensor_ratio).filter(|g| *g > 20.0);
            let clear = q.clear.as_ref().map_or(p.clear, |c| c[k]);
            let by_sensor = |g: f64| {
                SkyRow::of_irradiance((g / clear).ln(), p.hours, sensor_scatter(g), self.sensor_sigma, clear)
            };
            let lit = clear > 20.0;
            clear_sky.push(clear);
            if !q.free[k] {
                let held = HeldPoint {
                    side: self,
                    plant,
                    condition: c,
                    point: p,
                    stuck: q.stuck[k],
                    loose_v: loose_v.hypot(weak_light_v(sensor.unwrap_or(clear))),
                    loose_g: loose_g.hypot(weak_light(sensor.unwrap_or(clear))).hypot(between_shades(c)),
                };
                if let Some(g) = sensor {
                    let row = held.by_sensor(table, g);
                    rows.push(row.residual, row.own, row.loads, row.more);
                    in_volts += row.turn;
                    first_stuck.get_or_insert(row.turn);
                    sky.extend(lit.then(|| by_sensor(g)));
                    at_night += dark(lit, g);
                } else if lit {
                    let (row, turn) = held.by_sky(clear);
                    sky.push(row);
                    in_volts += turn;
                    first_stuck.get_or_insert(turn);
                } else {
                    at_night += DARK;
                }
                let g = sensor.unwrap_or(clear);
                irradiance.push(g);
                best_v.push(table.at(g, self.cell_c(p, g)).v);
                continue;
            }
            let turned = self.by_power(table, p);
            let weak = weak_light(turned.irradiance);
            irradiance.push(turned.irradiance);
            best_v.push(turned.best.v);
            if turned.best.v > 0.0 {
                let mut loads = [0.0; SHARED];
                loads[VOLTAGE] = VOLTS;
                loads[MODULE_V] = self.voltage_sigma;
                loads[CELL_K] = -turned.v_per_k * self.cell_sigma_k;
                // the best point is flat: 1 % of power is 3 % of voltage; in weak light more, and modules differ
                let flat = 0.03 * (150.0 / turned.irradiance.max(50.0)).min(2.0);
                loads[TRACKING] = 0.025;
                let warm = if p.warm { WARM.0 } else { 0.0 };
                let more = [loose_v.hypot(0.2 * between_shades(c)), 0.0, flat.hypot(warm)];
                let own: f64 = if p.in_cloud { 0.045 } else { 0.009 };
                let own = if p.mixed { own.hypot(MIXED.0) } else { own };
                rows.push((p.v / turned.best.v).ln(), f64::hypot(own, p.v_own / p.v), loads, more);
            }
            let mut loads = [0.0; SHARED];
            loads[VOLTAGE] = VOLTS;
            loads[CURRENT] = AMPS;
            loads[MODULE_V] = self.voltage_sigma;
            loads[MODULE_I] = self.current_sigma;
            let more = [0.0, loose_g.hypot(weak).hypot(between_shades(c)), 0.0];
            loads[TRACKING] = if p.warm { -WARM.1 } else { 0.0 };
            loads[CELL_K] = turned.g_per_k * self.cell_sigma_k;
            let noise = (p.v_own / p.v).hypot(p.i_own / p.i.max(0.05));
            let noise = if p.mixed { noise.hypot(MIXED.1) } else { noise };
            if let Some(g) = sensor {
                let mut loads = loads;
                loads[SENSOR] = self.sensor_sigma;
                let own = sensor_scatter(g).hypot(noise);
                rows.push((turned.irradiance.max(1.0) / g).ln(), own, loads, more);
            }
            if lit {
                let (moved, left) = rows.left(loads, more);
                let shared = left.iter().map(|l| l * l).sum::<f64>().sqrt();
                let by_g = (turned.irradiance.max(1.0) / clear).ln() - moved;
                sky.push(
                    sensor.map_or_else(
                        || SkyRow::of_irradiance(by_g, p.hours, noise, shared, clear),
                        by_sensor,
                    ),
                );
            }
            at_night += dark(lit, turned.irradiance);
        }
        if let Some(r) = &self.rest {
            self.push_rest(plant, c, r, &mut rows);
        }
        if q.keeps {
            in_volts -= first_stuck.unwrap_or(0.0);
        }
        let errors = rows.errors;
        let of_sky = sky_log_density(&sky) - at_night;
        let log_likelihood = errors.log_density() + of_sky + in_volts;
        let (free, sensor_ratio) = (q.free.clone(), q.sensor_ratio);
        SunFit {
            log_likelihood,
            sky: of_sky,
            clear: clear_sky,
            errors,
            irradiance,
            best_v,
            free,
            sensor_ratio,
        }
    }

    /// Voltage that each point should have by a fit, V: of the best point where the sun alone limits, else where the
    /// array gives the measured current. `plant`: as the hypothesis has it.
    pub fn said_v(&self, plant: &Plant, fit: &SunFit) -> Vec<f64> {
        let said = |(k, point)| {
            let best = fit.best_v[k];
            if fit.free[k] {
                return best;
            }
            let condition = &plant.condition.array;
            let held =
                HeldPoint { side: self, plant, condition, point, stuck: false, loose_v: 0.0, loose_g: 0.0 };
            held.voltage_at(fit.irradiance[k]).unwrap_or(best)
        };
        self.points.iter().enumerate().map(said).collect()
    }

    fn push_rest(&self, plant: &Plant, c: &ArrayCondition, r: &Rest, rows: &mut Rows) {
        let cell = match r.back_of_module_c {
            Some(back) => cell_from_back(back, r.irradiance),
            None => noct(r.irradiance, r.air_c, self.noct_c),
        };
        let voc = plant.array.curve(r.irradiance, cell, c).voc();
        let warmer = plant.array.curve(r.irradiance, cell + 5.0, c).voc();
        if voc > 1.0 {
            let mut loads = [0.0; SHARED];
            loads[VOLTAGE] = VOLTS;
            loads[MODULE_V] = self.voltage_sigma;
            loads[CELL_K] = -(warmer / voc).ln() / 5.0 * self.cell_sigma_k;
            rows.push((r.v / voc).ln(), 0.012f64.hypot(weak_light_v(r.irradiance)), loads, [0.0; 3]);
        }
    }
}
