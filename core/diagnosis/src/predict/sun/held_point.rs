//! A point that something else than the sun holds: it lies on the array's curve, anywhere.
//!
//! Right of the knee the voltage at the measured current is compared, which hangs little on the light; on the knee
//! and left of it the current at the measured voltage.

use wellwright_physics::array::ArrayCurve;
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::{CELL_K, CURRENT, MODULE_I, MODULE_V, SENSOR, SHARED, SunPoint, SunSide, VOLTAGE};
use crate::predict::peaks::PeakTable;
use crate::predict::sky::{KINDS, SkyRow};

/// A comparison with the irradiance sensor.
pub(super) struct Row {
    pub(super) residual: f64,
    pub(super) own: f64,
    pub(super) loads: [f64; SHARED],
    /// Spreads beside those of the array itself, in the order of the first loadings.
    pub(super) more: [f64; VOLTAGE],
    /// ln of what turns its density into one of ln V, or of ln I where the controller keeps the voltage.
    pub(super) turn: f64,
}

/// What a curve gives at a voltage, and how that moves.
struct Current {
    a: f64,
    /// d ln I / d ln G, / d ln V, / dT.
    per_g: f64,
    per_v: f64,
    per_k: f64,
}

/// A current below this share of the measured one is as good as none.
const LEAST: f64 = 0.1;

impl SunSide {
    /// Against the sensor.
    pub(super) fn held_by_sensor(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        table: &PeakTable,
        p: &SunPoint,
        g: f64,
        how: How,
    ) -> Row {
        self.voltage_row(plant, c, table, p, g, how).unwrap_or_else(|| {
            let i = self.current(plant, c, p, g);
            let mut loads = self.current_loads(&i);
            loads[SENSOR] = self.sensor_sigma * i.per_g;
            // lag, clouds over one end of the array, small offsets of the sensor in weak light
            let own = (i.per_g * 0.025f64.hypot(8.0 / g)).hypot(noise(p, &i));
            Row { residual: (p.i / i.a).ln(), own, loads, more: how.more(i.per_v), turn: turn(&i, how) }
        })
    }

    /// Against the sky.
    pub(super) fn held_by_sky(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        p: &SunPoint,
        clear: f64,
        how: How,
    ) -> (SkyRow, f64) {
        if let Some(by_voltage) = self.sky_by_voltage(plant, c, p, clear, how) {
            return by_voltage;
        }
        let i = self.current(plant, c, p, clear);
        // the kinds grow darker one by one: the slope at each is that from the one before
        let (mut before, mut at) = (i.a, 0.0);
        let of_kind = KINDS.map(|kind| {
            let a = self.amps(plant, c, p, clear * kind.mean.exp(), 0.0, 1.0);
            let apart = at - kind.mean;
            let per_g = if apart > 0.05 { (before / a).ln() / apart } else { i.per_g };
            (before, at) = (a, kind.mean);
            ((p.i / a).ln(), per_g)
        });
        let beside = how.more(i.per_v);
        let shared = self.current_loads(&i).iter().chain(&beside).map(|l| l * l).sum::<f64>().sqrt();
        let own = noise(p, &i);
        let log_ratio = ((p.i / i.a).ln() / i.per_g.max(0.5), own.hypot(shared));
        (SkyRow { of_kind, hours: p.hours, own, shared, clear, log_ratio }, turn(&i, how))
    }

    /// Current at the measured voltage times `volts`, cells `dk` warmer, A.
    fn amps(&self, plant: &Plant, c: &ArrayCondition, p: &SunPoint, g: f64, dk: f64, volts: f64) -> f64 {
        plant.array.curve(g, self.cell_c(p, g) + dk, c).current_a(volts * p.v).max(LEAST * p.i)
    }

    fn current(&self, plant: &Plant, c: &ArrayCondition, p: &SunPoint, g: f64) -> Current {
        let a = self.amps(plant, c, p, g, 0.0, 1.0);
        Current {
            a,
            per_g: (self.amps(plant, c, p, 1.06 * g, 0.0, 1.0) / a).ln() / 0.06,
            per_v: (self.amps(plant, c, p, g, 0.0, 1.01) / a).ln() / 0.01,
            per_k: (self.amps(plant, c, p, g, 3.0, 1.0) / a).ln() / 3.0,
        }
    }

    fn current_loads(&self, i: &Current) -> [f64; SHARED] {
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = -0.011 * i.per_v;
        loads[MODULE_V] = -self.voltage_sigma * i.per_v;
        loads[CURRENT] = 0.022;
        loads[MODULE_I] = self.current_sigma;
        loads[CELL_K] = -i.per_k * self.cell_sigma_k;
        loads
    }

    /// Right of the best point the curve is steep: there the voltage at the measured current is compared, which
    /// hangs little on irradiance. `None` left of it.
    fn voltage_row(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        table: &PeakTable,
        p: &SunPoint,
        g: f64,
        how: How,
    ) -> Option<Row> {
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
        let turn = if how.stuck { in_current(per_i) } else { 0.0 };
        Some(Row { residual: (p.v / v).ln(), own, loads, more: [how.loose_v, 0.0, 0.0], turn })
    }

    /// Off the best point, without a sensor: under each kind of sky, the voltage at the measured current.
    fn sky_by_voltage(
        &self,
        plant: &Plant,
        c: &ArrayCondition,
        p: &SunPoint,
        clear: f64,
        how: How,
    ) -> Option<(SkyRow, f64)> {
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
            .hypot(how.loose_v)
            .hypot(per_k * self.cell_sigma_k)
            .hypot(0.03 * of_kind[0].1);
        let own = 0.006f64.hypot(p.v_own / p.v);
        // the least light that can give the current; how much more there is, the voltage hardly tells
        let most = plant.array.curve(clear, self.cell_c(p, clear), c).current_a(0.3 * p.v);
        let log_ratio = ((p.i / most.max(1e-3)).ln(), 0.022f64.hypot(self.current_sigma));
        let turn = if how.stuck {
            let g = clear * KINDS[0].mean.exp();
            let curve = plant.array.curve(g, self.cell_c(p, g), c);
            let less = voltage_at(&curve, 0.95 * p.i, 0.3 * p.v)?;
            in_current((voltage_at(&curve, p.i, 0.3 * p.v)? / less).ln() / 0.05)
        } else {
            0.0
        };
        Some((SkyRow { of_kind, hours: p.hours, own, shared, clear, log_ratio }, turn))
    }
}

/// What a hypothesis says of a point that is not left to the sun.
#[derive(Clone, Copy)]
pub(super) struct How {
    /// The controller keeps a voltage of its own, so that the light moves the current.
    pub(super) stuck: bool,
    /// Extra spread of ln V and of ln I.
    pub(super) loose_v: f64,
    pub(super) loose_g: f64,
}

impl How {
    /// Spreads of ln I beside those of the array itself.
    fn more(self, per_v: f64) -> [f64; VOLTAGE] {
        [self.loose_v * per_v.abs(), self.loose_g, 0.0]
    }
}

/// Scatter of ln I, that of the voltage included.
fn noise(p: &SunPoint, i: &Current) -> f64 {
    (p.v_own / p.v * i.per_v).hypot(p.i_own / p.i.max(0.05)).max(0.006)
}

/// A limit holds the power, so that along the measured power the voltage moves the current against the curve.
fn turn(i: &Current, how: How) -> f64 {
    if how.stuck { 0.0 } else { (1.0 + i.per_v).abs().clamp(0.5, 20.0).ln() }
}

/// From d ln V / d ln I: ln of what turns a density of ln V into one of ln I.
fn in_current(volts_per_current: f64) -> f64 {
    volts_per_current.abs().clamp(0.005, 1.0).ln()
}

/// Voltage above `low` at which a curve carries a current; `None` when it carries less even there.
fn voltage_at(curve: &ArrayCurve, i: f64, low: f64) -> Option<f64> {
    curve.voltage_at(i).filter(|v| *v >= low)
}
