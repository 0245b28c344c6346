//! How one array condition fits the points of a window: voltage, irradiance sensor, sky, rest.

use wellwright_physics::plant::{ArrayCondition, Plant};

use super::turned::Turned;
use super::{
    ArrayQuestion, CELL_K, CURRENT, MODULE_I, MODULE_V, Rest, SENSOR, SHARED, SunFit, SunSide, TRACKING,
    VOLTAGE,
};
use crate::likelihood::SharedErrors;
use crate::predict::peaks::Peaks;
use crate::predict::sky::{SkyRow, sky_log_density};

/// Light at night costs so much, natural log.
const DARK: f64 = 6.0;

/// d ln V of a density in ln G. Where the sun fixes the speed, the speed takes the place of the voltage, see
/// `score::held`.
fn volts(by_sun: bool, turned: &Turned) -> f64 {
    if by_sun { 0.0 } else { turned.g_per_v.abs().clamp(0.5, 20.0).ln() }
}

/// Spread of ln current between the few darknesses and shares that stand for all shades: at the right peak the
/// darkest substrings carry it.
fn between_shades(c: &ArrayCondition) -> f64 {
    c.shade.map_or(0.0, |s| if s.right_peak { 0.15 } else { 0.06 })
}

impl SunSide {
    /// Fits one condition of the array under what a hypothesis says of it.
    pub fn fit(&self, plant: &Plant, peaks: &Peaks, q: &ArrayQuestion) -> SunFit {
        let c = &q.condition;
        let table = peaks.held(c);
        let mut rows = SharedErrors::default();
        let mut irradiance = Vec::new();
        let mut best_v = Vec::new();
        let mut sky = Vec::new();
        // densities of irradiance told as densities of voltage, so that hypotheses compare
        let mut in_volts = 0.0;
        let (loose_v, loose_g) = if q.loose { (0.3, 0.7) } else { (0.0, 0.0) };
        for (k, p) in self.points.iter().enumerate() {
            let free = q.free[k];
            let sensor = p.sensor.map(|g| g / q.sensor_ratio).filter(|g| *g > 20.0);
            let turned = if free { self.by_power(table, p) } else { self.by_curve(plant, c, table, p) };
            irradiance.push(turned.irradiance);
            best_v.push(turned.best.v);
            let mut loads = [0.0; SHARED];
            if free && turned.best.v > 0.0 {
                loads[VOLTAGE] = 0.011;
                loads[MODULE_V] = self.voltage_sigma.hypot(loose_v).hypot(0.2 * between_shades(c));
                loads[CELL_K] = -turned.v_per_k * self.cell_sigma_k;
                let r = (p.v / turned.best.v).ln();
                // the best point is flat: 1 % of power is 3 % of voltage; in weak light more, and modules differ
                let weak = 0.03 * (150.0 / turned.irradiance.max(50.0)).min(2.0);
                loads[TRACKING] = 0.025f64.hypot(weak);
                let own = if p.in_cloud { 0.045 } else { 0.009 };
                rows.push(r, f64::hypot(own, p.v_own / p.v), loads.to_vec());
            }
            loads = [0.0; SHARED];
            loads[VOLTAGE] = 0.011 * turned.g_per_v;
            loads[CURRENT] = 0.022 * turned.g_per_i;
            // in weak light modules differ from their data sheet, and the controller's own draw counts
            let weak = 0.25 * (100.0 / turned.irradiance.max(40.0)).powf(1.5);
            loads[MODULE_V] = self.voltage_sigma * turned.g_per_v;
            loads[MODULE_I] = self.current_sigma.hypot(loose_g).hypot(weak).hypot(between_shades(c));
            loads[CELL_K] = turned.g_per_k * self.cell_sigma_k;
            let noise = (p.v_own / p.v * turned.g_per_v).hypot(p.i_own / p.i.max(0.05) * turned.g_per_i);
            if let Some(g) = sensor.filter(|_| !free && !q.stuck[k])
                && let Some(row) = self.voltage_row(plant, c, table, p, g)
            {
                rows.push(row.0, row.1, row.2.to_vec());
            } else if let Some(g) = sensor {
                loads[SENSOR] = self.sensor_sigma;
                // lag, clouds over one end of the array, small offsets of the sensor in weak light
                let own = 0.025f64.hypot(noise).hypot(8.0 / g);
                rows.push((turned.irradiance.max(1.0) / g).ln(), own, loads.to_vec());
                in_volts += volts(free || q.stuck[k], &turned);
            }
            let clear = q.clear.as_ref().map_or(p.clear, |c| c[k]);
            if clear > 20.0 {
                let shared = loads.iter().map(|l| l * l).sum::<f64>().sqrt();
                let by_g = (turned.irradiance.max(1.0) / clear).ln();
                sky.push(if let Some(g) = sensor {
                    let own = 0.025f64.hypot(8.0 / g);
                    SkyRow::of_irradiance((g / clear).ln(), p.hours, own, self.sensor_sigma, clear)
                } else {
                    let by_sun = free || q.stuck[k];
                    let by_voltage = self.sky_by_voltage(plant, c, p, clear, by_sun, loose_v);
                    if by_voltage.is_none() {
                        in_volts += volts(by_sun, &turned);
                    }
                    by_voltage.map_or_else(
                        || SkyRow::of_irradiance(by_g, p.hours, noise, shared, clear),
                        |row| SkyRow { log_ratio: (by_g, noise.hypot(shared)), ..row },
                    )
                });
            } else if turned.irradiance > 60.0 {
                // light where no sun can be
                in_volts -= DARK;
            }
        }
        if let Some(r) = &self.rest {
            self.push_rest(plant, c, r, &mut rows);
        }
        let clearness = if sky.is_empty() {
            None
        } else {
            Some((sky.iter().map(|r| r.log_ratio.0).sum::<f64>() / sky.len() as f64).exp())
        };
        let log_likelihood = rows.log_density() + sky_log_density(&sky) + in_volts;
        SunFit { log_likelihood, irradiance, best_v, clearness }
    }

    fn push_rest(&self, plant: &Plant, c: &ArrayCondition, r: &Rest, rows: &mut SharedErrors) {
        let cell = match r.back_of_module_c {
            Some(back) => back + 1.5 * r.irradiance / 1000.0,
            None => r.air_c + r.irradiance * (self.noct_c - 20.0) / 800.0,
        };
        let voc = plant.array.curve(r.irradiance, cell, c).voc();
        let warmer = plant.array.curve(r.irradiance, cell + 5.0, c).voc();
        if voc > 1.0 {
            let mut loads = [0.0; SHARED];
            loads[VOLTAGE] = 0.011;
            loads[MODULE_V] = self.voltage_sigma;
            loads[CELL_K] = -(warmer / voc).ln() / 5.0 * self.cell_sigma_k;
            rows.push((r.v / voc).ln(), 0.012, loads.to_vec());
        }
    }
}
