//! A steady point turned round: which irradiance, or which voltage, would make this array give what was measured.

use wellwright_physics::array::ArrayCurve;
use wellwright_physics::module::Point;
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::{CELL_K, CURRENT, MODULE_I, MODULE_V, SENSOR, SHARED, SunPoint, SunSide, VOLTAGE};
use crate::predict::peaks::PeakTable;
use crate::predict::sky::{KINDS, SkyRow};

/// A point turned round.
pub(super) struct Turned {
    pub(super) irradiance: f64,
    pub(super) best: Point,
    /// d ln V_best / dT.
    pub(super) v_per_k: f64,
    /// d ln G / d ln V, / d ln I, / dT.
    pub(super) g_per_v: f64,
    pub(super) g_per_i: f64,
    pub(super) g_per_k: f64,
}

impl SunSide {
    /// Right of the best point the curve is steep: there the voltage at the measured current is compared, which
    /// hangs little on irradiance. `None` left of it.
    pub(super) fn voltage_row(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        table: &PeakTable,
        p: &SunPoint,
        g: f64,
    ) -> Option<(f64, f64, [f64; SHARED])> {
        let cell = self.cell_c(p, g);
        if p.v < 0.98 * table.at(g, cell).v {
            return None;
        }
        let voltage = |g: f64, i: f64, dk: f64| {
            let curve = plant.array.curve(g, cell + dk, c);
            voltage_at(&curve, i, 0.3 * p.v)
        };
        let v = voltage(g, p.i, 0.0)?;
        let per_g = (voltage(g * 1.05, p.i, 0.0)? / v).ln() / 0.05;
        let per_k = (voltage(g, p.i, 4.0)? / v).ln() / 4.0;
        let per_i = (v / voltage(g, p.i * 0.95, 0.0)?).ln() / 0.05;
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = 0.011;
        loads[MODULE_V] = self.voltage_sigma;
        loads[CELL_K] = -per_k * self.cell_sigma_k;
        loads[CURRENT] = -0.022 * per_i;
        loads[MODULE_I] = self.current_sigma * per_g;
        loads[SENSOR] = self.sensor_sigma * per_g;
        let own = 0.008f64.hypot(p.v_own / p.v).hypot(0.03 * per_g);
        Some(((p.v / v).ln(), own, loads))
    }

    /// Off the best point, without a sensor: under each kind of sky, the voltage at the measured current.
    pub(super) fn sky_by_voltage(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        p: &SunPoint,
        clear: f64,
        free: bool,
        loose_v: f64,
    ) -> Option<SkyRow> {
        if free {
            return None;
        }
        let voltage = |g: f64, dk: f64| {
            let curve = plant.array.curve(g, self.cell_c(p, g) + dk, c);
            voltage_at(&curve, p.i, 0.3 * p.v)
        };
        let mut of_kind = [(0.0, 0.0); KINDS.len()];
        let (mut per_k, mut near) = (0.0, f64::INFINITY);
        for (kind, row) in KINDS.iter().zip(&mut of_kind) {
            let g = clear * kind.mean.exp();
            *row = match (voltage(g, 0.0), voltage(1.06 * g, 0.0)) {
                (Some(v), Some(more)) => {
                    let residual = (p.v / v).ln();
                    if residual.abs() < near {
                        near = residual.abs();
                        per_k = (voltage(g, 4.0)? / v).ln() / 4.0;
                    }
                    (residual, (more / v).ln() / 0.06)
                }
                // so little light does not give the current
                _ => (0.5, 0.3),
            };
        }
        // left of the knee or on it the irradiance is what speaks
        if near > 0.2 || of_kind[0].1 > 0.15 {
            return None;
        }
        let shared = 0.011f64
            .hypot(self.voltage_sigma)
            .hypot(loose_v)
            .hypot(per_k * self.cell_sigma_k)
            .hypot(0.03 * of_kind[0].1);
        let own = 0.006f64.hypot(p.v_own / p.v);
        Some(SkyRow { of_kind, hours: p.hours, own, shared, clear, log_ratio: (0.0, 1.0) })
    }

    /// While the sun limits: power fixes the irradiance.
    pub(super) fn by_power(&self, table: &PeakTable, p: &SunPoint) -> Turned {
        let power = p.v * p.i;
        // power goes almost with irradiance: a few steps in logarithms are exact
        let mut g = p.sensor.unwrap_or(700.0).clamp(60.0, 1300.0);
        let mut b = table.at(g, self.cell_c(p, g));
        for _ in 0..6 {
            if b.p <= 0.0 {
                break;
            }
            let next = (g * power / b.p).clamp(5.0, 4000.0);
            let done = (next / g - 1.0).abs() < 1e-4;
            g = next;
            b = table.at(g, self.cell_c(p, g));
            if done {
                break;
            }
        }
        let warm = table.at(g, self.cell_c(p, g) + 5.0);
        let v_per_k = if b.v > 0.0 { (warm.v / b.v).ln() / 5.0 } else { 0.0 };
        let g_per_k = if b.p > 0.0 { -(warm.p / b.p).ln() / 5.0 } else { 0.0 };
        Turned { irradiance: g, best: b, v_per_k, g_per_v: 1.0, g_per_i: 1.0, g_per_k }
    }

    /// While something else limits: the point lies on the curve, anywhere right of the best point. At a fixed
    /// voltage the current is almost linear in irradiance, so secant steps end at once.
    pub(super) fn by_curve(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        table: &PeakTable,
        p: &SunPoint,
    ) -> Turned {
        let current = |g: f64, v: f64, dk: f64| plant.array.curve(g, self.cell_c(p, g) + dk, c).current_a(v);
        let mut g = p.sensor.unwrap_or(800.0).clamp(100.0, 1300.0);
        let mut i = current(g, p.v, 0.0);
        let mut slope = i.max(0.3 * p.i) / g;
        for _ in 0..8 {
            let next = (g + (p.i - i) / slope).clamp(0.5 * g, 2.0 * g).clamp(20.0, 1500.0);
            if (next / g - 1.0).abs() < 1e-3 {
                g = next;
                break;
            }
            let there = current(next, p.v, 0.0);
            let rise = (there - i) / (next - g);
            if rise > 1e-6 {
                slope = rise;
            }
            (g, i) = (next, there);
        }
        i = current(g, p.v, 0.0);
        let per = |changed: f64, step: f64| (-(changed - i) / (slope * g) / step).clamp(-40.0, 40.0);
        Turned {
            irradiance: g,
            best: table.at(g, self.cell_c(p, g)),
            v_per_k: -0.004,
            g_per_v: per(current(g, p.v * 1.01, 0.0), 0.01),
            g_per_i: (p.i / (slope * g)).clamp(0.0, 40.0),
            g_per_k: per(current(g, p.v, 3.0), 3.0),
        }
    }
}

/// Voltage above `low` at which a curve carries a current; `None` when it carries less even there.
fn voltage_at(curve: &ArrayCurve, i: f64, low: f64) -> Option<f64> {
    let (mut low, mut high) = (low, curve.voc());
    if high <= low || curve.current_a(low) < i {
        return None;
    }
    // a falling curve: false position, with the stale end's weight halved (the Illinois rule)
    let (mut above, mut below) = (curve.current_a(low) - i, -i);
    for _ in 0..24 {
        let v = low + (high - low) * above / (above - below);
        let off = curve.current_a(v) - i;
        if off.abs() < 1e-3 * i.max(0.05) || high - low < 1e-4 * high {
            return Some(v);
        }
        if off > 0.0 {
            (low, above) = (v, off);
            below *= 0.5;
        } else {
            (high, below) = (v, off);
            above *= 0.5;
        }
    }
    Some(0.5 * (low + high))
}
