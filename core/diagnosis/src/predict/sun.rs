//! What the array and the sky say: is the array on its curve, at its best point, under the sky it should see?
//!
//! Array voltage is a thermometer and a counter of bypass diodes, array current is the irradiance meter. So
//! each steady point is turned round: which irradiance would make *this* array (with what the hypothesis does
//! to it) give the measured power? The answer is compared with the irradiance sensor, or with a clear sky
//! where there is none; and while the sun is what limits, the voltage is compared with the best point's.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::record::{Mounting, System};
use wellwright_physics::array::ArrayCurve;
use wellwright_physics::module::Point;
use wellwright_physics::plant::{ArrayCondition, Assumed, Plant};

use super::climate::day_air_c;
use super::peaks::{PeakTable, Peaks};
use super::sky::{KINDS, SkyRow, SkyShift, clear_plane, sky_log_density};
use crate::likelihood::SharedErrors;
use crate::window::{Look, Steady};

/// Shared errors of this block, in the order of the loadings.
const SHARED: usize = 7;
const VOLTAGE: usize = 0;
const CURRENT: usize = 1;
const MODULE_V: usize = 2;
const MODULE_I: usize = 3;
const CELL_K: usize = 4;
const SENSOR: usize = 5;
const TRACKING: usize = 6;

/// One steady point as the array sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct SunPoint {
    /// Which steady point.
    point: usize,
    rpm: f64,
    v: f64,
    i: f64,
    v_own: f64,
    i_own: f64,
    /// Measured irradiance.
    sensor: Option<f64>,
    /// Clear-sky irradiance in the plane.
    clear: f64,
    /// Instants that stand for it.
    times: Vec<DateTime<FixedOffset>>,
    /// Hours from the middle of the window.
    hours: f64,
    /// Slower than the window's best in changing sun: the search for the best point lags.
    in_cloud: bool,
    back_of_module_c: Option<f64>,
    air_c: f64,
}

/// The array side of a window.
#[derive(Debug, Clone)]
pub struct SunSide {
    points: Vec<SunPoint>,
    rest: Option<Rest>,
    noct_c: f64,
    /// Spread of the cell temperature, K.
    cell_sigma_k: f64,
    voltage_sigma: f64,
    current_sigma: f64,
    sensor_sigma: f64,
}

/// Readings at rest.
#[derive(Debug, Clone, Copy)]
struct Rest {
    v: f64,
    irradiance: f64,
    back_of_module_c: Option<f64>,
    air_c: f64,
}

/// What a hypothesis says of the array side.
#[derive(Debug, Clone, PartialEq)]
pub struct ArrayQuestion {
    /// What is wrong with the array.
    pub condition: ArrayCondition,
    /// At each point: nothing but the sun limits, so the array should stand at its best point (the rightmost peak
    /// when the controller is caught there).
    pub free: Vec<bool>,
    /// Spreads the predictions widely, for a fault that nothing here describes.
    pub loose: bool,
    /// The irradiance sensor reads so many times the truth.
    pub sensor_ratio: f64,
    /// At each point: the controller keeps a voltage of its own, so the current tells the irradiance.
    pub stuck: Vec<bool>,
    /// Clear-sky irradiance, when it is not the record's.
    pub clear: Option<Vec<f64>>,
}

/// Most irradiance that a sky holds for the minutes in which cells warm, W/m2.
const HOTTEST_W_M2: f64 = 1100.0;

/// Light at night costs so much, natural log.
const DARK: f64 = 6.0;

/// d ln V of a density in ln G. Where the sun fixes the speed, the speed takes the place of the voltage, see
/// `score::held`.
fn volts(by_sun: bool, turned: &Turned) -> f64 {
    if by_sun { 0.0 } else { turned.g_per_v.abs().clamp(0.5, 20.0).ln() }
}

/// How the array side fits one array condition.
#[derive(Debug, Clone)]
pub struct SunFit {
    /// log density of voltage and irradiance rows.
    pub log_likelihood: f64,
    /// Irradiance that each point would need, W/m2.
    pub irradiance: Vec<f64>,
    /// Best point's voltage at each point, V.
    pub best_v: Vec<f64>,
    /// Mean of fitted over clear-sky irradiance.
    pub clearness: Option<f64>,
}

impl SunSide {
    /// Collects what a window says about array and sky.
    pub fn new(system: &System, plant: &Plant, assumed: &[Assumed], look: &Look) -> SunSide {
        let top = look.steady.iter().filter_map(Steady::rpm).fold(0.0, f64::max);
        let changing = look.steady.iter().filter(|p| p.moving).count() > 1;
        let middle = look.span.map(|(a, b)| a + (b - a) / 2);
        let points: Vec<SunPoint> = look
            .steady
            .iter()
            .enumerate()
            .filter(|(_, p)| !p.moving)
            .filter_map(|(k, p)| sun_point(system, plant, k, p, middle))
            .map(|p| SunPoint { in_cloud: changing && p.rpm < 0.93 * top, ..p })
            .collect();
        let back = points.iter().any(|p| p.back_of_module_c.is_some());
        let air = look.steady.iter().any(|p| p.get(Channel::AirC).is_some());
        let guessed = look.span.map_or(7.0, |(at, _)| day_air_c(system, at).1);
        let roof = if system.array.mounting == Some(Mounting::Roof) { 1.6 } else { 1.0 };
        let cell_sigma_k = match (back, air) {
            (true, _) => 3.2,
            (false, true) => 4.5 * roof,
            (false, false) => guessed.hypot(4.0 * roof),
        };
        let spread = |field: &str| assumed.iter().find(|a| a.field == field).map_or(0.0, |a| a.sigma);
        let class = system.sensors.irradiance_w_m2.as_ref().and_then(|s| s.accuracy_pct).unwrap_or(5.0);
        let rest = rest(system, plant, look);
        SunSide {
            points,
            rest,
            noct_c: plant.noct_c,
            cell_sigma_k,
            voltage_sigma: 0.010f64.hypot(spread("array.series")).hypot(spread("array.module.voc_v")),
            current_sigma: 0.028f64.hypot(spread("array.strings")).hypot(spread("array.module.isc_a")),
            sensor_sigma: class / 100.0,
        }
    }

    /// True when some steady point can be compared, so that the array's peaks matter.
    pub fn has_points(&self) -> bool {
        !self.points.is_empty()
    }

    /// True when nothing can be compared.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty() && self.rest.is_none()
    }

    /// Cells do not warm further in light that no sky holds: the search for the irradiance would run away.
    fn cell_c(&self, p: &SunPoint, irradiance: f64) -> f64 {
        let irradiance = irradiance.min(HOTTEST_W_M2);
        match p.back_of_module_c {
            Some(back) => back + 3.0 * irradiance / 1000.0,
            None => p.air_c + irradiance * (self.noct_c - 20.0) / 800.0,
        }
    }

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
                loads[MODULE_V] = self.voltage_sigma.hypot(loose_v);
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
            loads[MODULE_I] = self.current_sigma.hypot(loose_g).hypot(weak);
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
                sky.push(match sensor {
                    Some(g) => {
                        let own = 0.025f64.hypot(8.0 / g);
                        SkyRow::of_irradiance((g / clear).ln(), p.hours, own, self.sensor_sigma, clear)
                    }
                    None => match self.sky_by_voltage(plant, c, p, clear, free || q.stuck[k], loose_v) {
                        Some(row) => SkyRow { log_ratio: (by_g, noise.hypot(shared)), ..row },
                        None => {
                            in_volts += volts(free || q.stuck[k], &turned);
                            SkyRow::of_irradiance(by_g, p.hours, noise, shared, clear)
                        }
                    },
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

    /// Clear-sky irradiance at every point under a shift; `None` when there is none.
    pub fn clear(&self, plant: &Plant, shift: &SkyShift) -> Option<Vec<f64>> {
        let shifted = *shift != SkyShift::default();
        shifted.then(|| self.points.iter().map(|p| mean_clear(plant, shift, &p.times)).collect())
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

    /// Right of the best point the curve is steep: there the voltage at the measured current is compared, which
    /// hangs little on irradiance. `None` left of it.
    fn voltage_row(
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
    fn sky_by_voltage(
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
    fn by_power(&self, table: &PeakTable, p: &SunPoint) -> Turned {
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
    fn by_curve(&self, plant: &Plant, c: &ArrayCondition, table: &PeakTable, p: &SunPoint) -> Turned {
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

    /// The flags of those steady points that the array side can use.
    pub fn matching(&self, free: &[bool]) -> Vec<bool> {
        self.points.iter().map(|p| free[p.point]).collect()
    }

    /// Irradiance at each point: measured, else as fitted.
    pub fn irradiance(&self, fit: &SunFit) -> Vec<f64> {
        self.points.iter().zip(&fit.irradiance).map(|(p, g)| p.sensor.unwrap_or(*g)).collect()
    }

    /// Mean of measured over clear-sky irradiance, where there is a sensor.
    pub fn measured_clearness(&self) -> Option<f64> {
        let ratios: Vec<f64> =
            self.points.iter().filter(|p| p.clear > 80.0).filter_map(|p| Some(p.sensor? / p.clear)).collect();
        if ratios.is_empty() { None } else { Some(ratios.iter().sum::<f64>() / ratios.len() as f64) }
    }
}

struct Turned {
    irradiance: f64,
    best: Point,
    /// d ln V_best / dT.
    v_per_k: f64,
    /// d ln G / d ln V, / d ln I, / dT.
    g_per_v: f64,
    g_per_i: f64,
    g_per_k: f64,
}

fn sun_point(
    system: &System,
    plant: &Plant,
    point: usize,
    p: &Steady,
    middle: Option<DateTime<FixedOffset>>,
) -> Option<SunPoint> {
    let v = p.get(Channel::ArrayV).filter(|v| *v > 1.0)?;
    let i = p.get(Channel::ArrayA).filter(|i| *i > 0.02)?;
    Some(SunPoint {
        point,
        v,
        i,
        v_own: p.scatter(Channel::ArrayV).max(0.15),
        i_own: p.scatter(Channel::ArrayA).max(0.02),
        sensor: p.get(Channel::IrradianceWM2),
        clear: mean_clear(plant, &SkyShift::default(), &p.times),
        times: p.times.clone(),
        rpm: p.rpm().unwrap_or(0.0),
        in_cloud: false,
        hours: middle.map_or(0.0, |m| (p.at - m).num_seconds() as f64 / 3600.0),
        back_of_module_c: p.get(Channel::ModuleC),
        air_c: p.get(Channel::AirC).unwrap_or_else(|| day_air_c(system, p.at).0),
    })
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

/// Clear-sky irradiance, mean over instants, W/m2.
fn mean_clear(plant: &Plant, shift: &SkyShift, times: &[DateTime<FixedOffset>]) -> f64 {
    let sum: f64 = times.iter().map(|t| shift.clear_plane(plant, *t).unwrap_or(0.0)).sum();
    sum / times.len().max(1) as f64
}

fn rest(system: &System, plant: &Plant, look: &Look) -> Option<Rest> {
    let at = look.stops.rest_at?;
    let v = look.stops.rest_v.filter(|v| *v > 5.0)?;
    let clear = clear_plane(plant, at).unwrap_or(0.0);
    let irradiance = look.stops.rest_irradiance.unwrap_or(0.75 * clear);
    if irradiance < 60.0 {
        return None;
    }
    let air_c = day_air_c(system, at).0;
    Some(Rest { v, irradiance, back_of_module_c: look.stops.rest_module_c, air_c })
}
