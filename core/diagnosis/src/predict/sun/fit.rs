//! How one array condition fits the points of a window: voltage, irradiance sensor, sky, rest.

use wellwright_physics::cell_temperature::{cell_from_back, noct};
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::fitting::{Fitting, Rows, weak_light_v};
use super::held_point::HeldPoint;
use super::{ArrayQuestion, CELL_K, MODULE_V, Rest, SHARED, SunFit, SunSide, VOLTAGE, VOLTS};
use crate::baseline::Beside;
use crate::predict::peaks::Peaks;

/// Below this share of the best point's voltage no limit holds a controller: what takes less than the array could give
/// lets its voltage rise. There it stands at a peak, or keeps a voltage of its own.
const LEFT: f64 = 0.9;

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
        let mut fitting = Fitting::new(self, plant, peaks.held(&q.condition), q, beside);
        for k in 0..self.points.len() {
            if q.free[k] { fitting.at_best(k) } else { fitting.held(k) }
        }
        if let Some(r) = &self.rest {
            self.push_rest(plant, &q.condition, r, &mut fitting.rows);
        }
        fitting.done()
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
