//! What the array and the sky say: is the array on its curve, at its best point, under the sky it should see?
//!
//! Array voltage is a thermometer and a counter of bypass diodes, array current is the irradiance meter. So
//! each steady point is turned round: which irradiance would make *this* array (with what the hypothesis does
//! to it) give the measured power? The answer is compared with the irradiance sensor, or with a clear sky
//! where there is none; and while the sun is what limits, the voltage is compared with the best point's.

mod fit;
mod fitting;
mod held_point;
mod turned;

use super::climate::day_air_c;
use super::sky::{SkyShift, clear_plane};
use crate::likelihood::SharedErrors;
use crate::window::{Lit, Look, Steady};
use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::record::{Mounting, System};
use wellwright_physics::cell_temperature::{cell_from_back, noct};
use wellwright_physics::plant::{ArrayCondition, Assumed, Plant};

/// Shared errors of this block, in the order of the loadings: first those of the plant itself, the same at all times;
/// then those of sensors, which stay in part; then those of the day.
const SHARED: usize = 7;
const MODULE_V: usize = 0;
const MODULE_I: usize = 1;
const TRACKING: usize = 2;
const VOLTAGE: usize = 3;
const CURRENT: usize = 4;
const SENSOR: usize = 5;
const CELL_K: usize = 6;

/// Voltage of a module against its data sheet, 1 sigma of ln (engineering judgement: sheets give 1 to 3 % as limits).
pub const MODULE_VOLTAGE: f64 = 0.010;
/// Current of a module against its data sheet, 1 sigma of ln (engineering judgement: sheets give 3 % as the limit, and
/// glass ages).
pub const MODULE_CURRENT: f64 = 0.028;

/// Sensors of array voltage and current in a controller, 1 sigma of ln (contract: 1 % and 2 %), and how they drift.
const VOLTS: f64 = 0.011;
const AMPS: f64 = 0.022;

/// Names of those that last.
pub const LASTING: [&str; CELL_K] = [
    "module_voltage",
    "module_current",
    "tracking",
    "array_voltage_sensor",
    "array_current_sensor",
    "irradiance_sensor",
];

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
    /// A mean over changing light near a limit: part of the time the limit held it, part of the time the sun.
    mixed: bool,
    /// The heat sink is warm enough to hold back a little power, as sound controllers do on hot days.
    warm: bool,
    back_of_module_c: Option<f64>,
    air_c: f64,
    lit: Lit,
}

/// Light in the shadow of a broken cloud, over that beside it (engineering judgement).
const SHADOW: f64 = 0.4;

impl SunPoint {
    /// Light that the cells remember, W/m2, where it is `irradiance` now.
    fn warming(&self, irradiance: f64) -> f64 {
        let Lit { now, lately } = self.lit;
        let dimmed = if now > 0.5 { (1.0 - SHADOW) * irradiance } else { (self.clear - irradiance).max(0.0) };
        irradiance + (lately - now) * dimmed
    }
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

/// Scatter of a comparison with the irradiance sensor: lag, clouds over one end of the array, small offsets in weak
/// light.
fn sensor_scatter(g: f64) -> f64 {
    0.025f64.hypot(8.0 / g)
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
    /// It may stand anywhere on the curve.
    pub keeps: bool,
    /// Clear-sky irradiance, when it is not the record's.
    pub clear: Option<Vec<f64>>,
}

/// Most irradiance that a sky holds for the minutes in which cells warm, W/m2.
const HOTTEST_W_M2: f64 = 1100.0;

/// How the array side fits one array condition.
#[derive(Debug, Clone)]
pub struct SunFit {
    /// log density of voltage and irradiance rows.
    pub log_likelihood: f64,
    /// Of that what the sky says, natural log.
    pub sky: f64,
    /// Clear sky at each point, as the hypothesis has clock and plane, W/m2.
    pub clear: Vec<f64>,
    /// Voltage and irradiance rows.
    pub errors: SharedErrors,
    /// Irradiance that each point would need, W/m2.
    pub irradiance: Vec<f64>,
    /// Best point's voltage at each point, V.
    pub best_v: Vec<f64>,
    /// At each point: nothing but the sun was taken to limit.
    pub free: Vec<bool>,
    /// What the irradiance sensor tells over what is, as the hypothesis has it.
    pub sensor_ratio: f64,
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
        let rest = rest(system, plant, look);
        SunSide {
            points,
            rest,
            noct_c: plant.noct_c,
            cell_sigma_k,
            voltage_sigma: MODULE_VOLTAGE.hypot(spread("array.series")).hypot(spread("array.module.voc_v")),
            current_sigma: MODULE_CURRENT.hypot(spread("array.strings")).hypot(spread("array.module.isc_a")),
            sensor_sigma: system.sensors.irradiance_share(),
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
            Some(back) => cell_from_back(back, irradiance),
            None => noct(p.warming(irradiance), p.air_c, self.noct_c),
        }
    }

    /// Clear-sky irradiance at every point under a shift; `None` when there is none.
    pub fn clear(&self, plant: &Plant, shift: &SkyShift) -> Option<Vec<f64>> {
        let shifted = *shift != SkyShift::default();
        shifted.then(|| self.points.iter().map(|p| mean_clear(plant, shift, &p.times)).collect())
    }

    /// The flags of those steady points that the array side can use.
    pub fn matching(&self, free: &[bool]) -> Vec<bool> {
        self.points.iter().map(|p| free[p.point]).collect()
    }

    /// Mean of the clear sky over the points; `None` without a point in daylight.
    pub fn mean_clear(&self) -> Option<f64> {
        let lit: Vec<f64> = self.points.iter().map(|p| p.clear).filter(|g| *g > 20.0).collect();
        (!lit.is_empty()).then(|| lit.iter().sum::<f64>() / lit.len() as f64)
    }

    /// Irradiance at each point: measured and put right, else as fitted.
    pub fn irradiance(&self, fit: &SunFit) -> Vec<f64> {
        let told = |p: &SunPoint| p.sensor.filter(|_| fit.sensor_ratio > 0.0).map(|g| g / fit.sensor_ratio);
        self.points.iter().zip(&fit.irradiance).map(|(p, g)| told(p).unwrap_or(*g)).collect()
    }
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
        mixed: p.averaged && mixes(plant, p.rpm().unwrap_or(0.0)),
        warm: p.get(Channel::ControllerC).is_some_and(|t| t >= plant.controller.derate_from_c - 1.0),
        hours: middle.map_or(0.0, |m| (p.at - m).num_seconds() as f64 / 3600.0),
        back_of_module_c: p.get(Channel::ModuleC),
        air_c: p.get(Channel::AirC).unwrap_or_else(|| day_air_c(system, p.at).0),
        lit: p.lit,
    })
}

/// A mean speed between these shares of the highest may be that of a limit and of less.
const MIXES: std::ops::Range<f64> = 0.7..0.99;

fn mixes(plant: &Plant, rpm: f64) -> bool {
    MIXES.contains(&(rpm / plant.controller.max_rpm))
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
