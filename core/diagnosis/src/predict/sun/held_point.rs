//! A point that something else than the sun holds: it lies on the array's curve, anywhere.
//!
//! Right of the knee the voltage at the measured current is compared, which hangs little on the light; on the knee
//! and left of it the current at the measured voltage.

use wellwright_physics::array::ArrayCurve;
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::{
    AMPS, CELL_K, CURRENT, MODULE_I, MODULE_V, SENSOR, SHARED, SunPoint, SunSide, VOLTAGE, VOLTS,
    sensor_scatter,
};
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

/// A point with the array condition that a hypothesis gives it.
pub(super) struct HeldPoint<'a> {
    pub(super) side: &'a SunSide,
    pub(super) plant: &'a Plant,
    pub(super) condition: &'a ArrayCondition,
    pub(super) point: &'a SunPoint,
    /// The controller keeps a voltage of its own, so that the light moves the current.
    pub(super) stuck: bool,
    /// Extra spread of ln V and of ln I.
    pub(super) loose_v: f64,
    pub(super) loose_g: f64,
}

impl HeldPoint<'_> {
    /// Against the sensor.
    pub(super) fn by_sensor(&self, table: &PeakTable, g: f64) -> Row {
        self.voltage_row(table, g).unwrap_or_else(|| {
            let i = self.current(g);
            let mut loads = self.loads(&i);
            loads[SENSOR] = self.side.sensor_sigma * i.per_g;
            let own = (i.per_g * sensor_scatter(g)).hypot(self.noise(&i));
            Row { residual: (self.point.i / i.a).ln(), own, loads, more: self.more(&i), turn: self.turn(&i) }
        })
    }

    /// Against the sky, with what turns the density as [`Row`] says.
    pub(super) fn by_sky(&self, clear: f64) -> (SkyRow, f64) {
        if let Some(by_voltage) = self.sky_by_voltage(clear) {
            return by_voltage;
        }
        let p = self.point;
        let i = self.current(clear);
        // the kinds grow darker one by one: the slope at each is that from the one before
        let (mut before, mut at) = (i.a, 0.0);
        let of_kind = KINDS.map(|kind| {
            let a = self.amps(clear * kind.mean.exp(), 0.0, 1.0);
            let apart = at - kind.mean;
            let per_g = if apart > 0.05 { (before / a).ln() / apart } else { i.per_g };
            (before, at) = (a, kind.mean);
            ((p.i / a).ln(), per_g)
        });
        let shared = self.loads(&i).iter().chain(&self.more(&i)).map(|l| l * l).sum::<f64>().sqrt();
        let own = self.noise(&i);
        let log_ratio = ((p.i / i.a).ln() / i.per_g.max(0.5), own.hypot(shared));
        (SkyRow { of_kind, hours: p.hours, own, shared, clear, log_ratio }, self.turn(&i))
    }

    /// The curve in a light, cells `dk` warmer than it makes them.
    fn curve(&self, g: f64, dk: f64) -> ArrayCurve {
        self.plant.array.curve(g, self.side.cell_c(self.point, g) + dk, self.condition)
    }

    /// Current at the measured voltage times `volts`, A.
    fn amps(&self, g: f64, dk: f64, volts: f64) -> f64 {
        self.curve(g, dk).current_a(volts * self.point.v).max(LEAST * self.point.i)
    }

    fn current(&self, g: f64) -> Current {
        let a = self.amps(g, 0.0, 1.0);
        Current {
            a,
            per_g: (self.amps(1.06 * g, 0.0, 1.0) / a).ln() / 0.06,
            per_v: (self.amps(g, 0.0, 1.01) / a).ln() / 0.01,
            per_k: (self.amps(g, 3.0, 1.0) / a).ln() / 3.0,
        }
    }

    fn loads(&self, i: &Current) -> [f64; SHARED] {
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = -VOLTS * i.per_v;
        loads[MODULE_V] = -self.side.voltage_sigma * i.per_v;
        loads[CURRENT] = AMPS;
        loads[MODULE_I] = self.side.current_sigma;
        loads[CELL_K] = -i.per_k * self.side.cell_sigma_k;
        loads
    }

    /// Spreads of ln I beside those of the array itself.
    fn more(&self, i: &Current) -> [f64; VOLTAGE] {
        [self.loose_v * i.per_v.abs(), self.loose_g, 0.0]
    }

    /// Scatter of ln I, that of the voltage included.
    fn noise(&self, i: &Current) -> f64 {
        let p = self.point;
        (p.v_own / p.v * i.per_v).hypot(p.i_own / p.i.max(0.05)).max(0.006)
    }

    /// A limit holds the power, so that along the measured power the voltage moves the current against the curve.
    fn turn(&self, i: &Current) -> f64 {
        if self.stuck { 0.0 } else { (1.0 + i.per_v).abs().clamp(0.5, 20.0).ln() }
    }

    /// From d ln V / d ln I: where the light moves the current, ln of what turns a density of ln V into one of ln I.
    fn turn_volts(&self, volts_per_current: f64) -> f64 {
        if self.stuck { volts_per_current.abs().clamp(0.005, 1.0).ln() } else { 0.0 }
    }

    /// Voltage at which the array gives the measured current in a light.
    pub(super) fn voltage_at(&self, g: f64) -> Option<f64> {
        self.voltage(&self.curve(g, 0.0), self.point.i)
    }

    /// Voltage at which a curve carries a current; `None` when it carries less even far below the measured one.
    fn voltage(&self, curve: &ArrayCurve, i: f64) -> Option<f64> {
        curve.voltage_at(i).filter(|v| *v >= 0.3 * self.point.v)
    }

    /// What temperature and slow model errors move ln V by from the middle of the window on: points within minutes
    /// share them.
    fn drift(&self) -> f64 {
        0.0015f64.hypot(0.007 * self.point.hours.abs().min(1.0))
    }

    /// Right of the best point the curve is steep: there the voltage at the measured current is compared, which
    /// hangs little on irradiance. `None` left of it.
    fn voltage_row(&self, table: &PeakTable, g: f64) -> Option<Row> {
        let (side, p) = (self.side, self.point);
        let cell = side.cell_c(p, g);
        if p.v < 0.98 * table.at(g, cell).v {
            return None;
        }
        let curve = |g: f64, dk: f64| self.plant.array.curve(g, cell + dk, self.condition);
        let here = curve(g, 0.0);
        let v = self.voltage(&here, p.i)?;
        let per_g = (self.voltage(&curve(g * 1.05, 0.0), p.i)? / v).ln() / 0.05;
        let per_k = (self.voltage(&curve(g, 4.0), p.i)? / v).ln() / 4.0;
        let per_i = (v / self.voltage(&here, p.i * 0.95)?).ln() / 0.05;
        let mut loads = [0.0; SHARED];
        loads[VOLTAGE] = VOLTS;
        loads[MODULE_V] = side.voltage_sigma;
        loads[CELL_K] = -per_k * side.cell_sigma_k;
        loads[CURRENT] = -AMPS * per_i;
        loads[MODULE_I] = side.current_sigma * per_g;
        loads[SENSOR] = side.sensor_sigma * per_g;
        let own = self.drift().hypot(p.v_own / p.v).hypot(0.03 * per_g);
        let more = [self.loose_v, 0.0, 0.0];
        Some(Row { residual: (p.v / v).ln(), own, loads, more, turn: self.turn_volts(per_i) })
    }

    /// Off the best point, without a sensor: under each kind of sky, the voltage at the measured current.
    fn sky_by_voltage(&self, clear: f64) -> Option<(SkyRow, f64)> {
        let (side, p) = (self.side, self.point);
        let voltage = |g: f64, dk: f64| self.voltage(&self.curve(g, dk), p.i);
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
            .hypot(side.voltage_sigma)
            .hypot(self.loose_v)
            .hypot(per_k * side.cell_sigma_k)
            .hypot(0.03 * of_kind[0].1);
        let own = self.drift().hypot(p.v_own / p.v);
        // the least light that can give the current; how much more there is, the voltage hardly tells
        let most = self.curve(clear, 0.0).current_a(0.3 * p.v);
        let log_ratio = ((p.i / most.max(1e-3)).ln(), 0.022f64.hypot(side.current_sigma));
        let brightest = self.curve(clear * KINDS[0].mean.exp(), 0.0);
        let per_i = (self.voltage(&brightest, p.i)? / self.voltage(&brightest, 0.95 * p.i)?).ln() / 0.05;
        let row = SkyRow { of_kind, hours: p.hours, own, shared, clear, log_ratio };
        Some((row, self.turn_volts(per_i)))
    }
}
