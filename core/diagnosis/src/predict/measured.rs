//! What the steady points of a window tell of the load side, stacked, each number with its error model.
//!
//! To add a quantity: name it in [`Quantity`], say how a point tells it in [`READ`] and what a load gives of it in
//! [`Measured::of_load`].

use wellwright_domain::channel::Channel;
use wellwright_domain::record::{FlowPlace, Sensors, System};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::plant::Plant;

use super::{Quantity, RIPPLE, reference_flow, speed};
use crate::window::{Look, Steady};

/// One measured number with its error model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Which steady point; one past the last is the pump at rest before its first run.
    pub point: usize,
    /// What.
    pub quantity: Quantity,
    /// Measured (log for log quantities).
    pub measured: f64,
    /// One error for the whole window, 1 sigma: sensor bias and slow model error.
    pub shared: f64,
    /// Error of its own, 1 sigma.
    pub own: f64,
}

/// The measured side, stacked.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Rows, grouped by steady point.
    pub rows: Vec<Row>,
    /// Where the flow meter sits.
    pub flow_at: FlowPlace,
    /// Steady points that the rows refer to.
    pub points: Vec<Steady>,
    /// At a steady point the level may lie so far from where its own flow would draw it, 1 sigma, m: a well follows
    /// late when clouds pass.
    pub late_m: f64,
}

impl Measured {
    /// Stacks what the steady points hold.
    pub fn new(system: &System, plant: &Plant, look: &Look) -> Measured {
        let reader = Reader {
            sensors: &system.sensors,
            plant,
            flow_size: reference_flow(plant),
            late_m: late_m(plant, look),
            top_rpm: look.steady.iter().filter_map(Steady::rpm).fold(0.0, f64::max),
        };
        let restless = look.stops.starts > 6;
        let mut rows = Vec::new();
        for (k, point) in look.steady.iter().enumerate().filter(|(_, point)| !point.filling) {
            for (quantity, read) in READ.into_iter().filter(|(q, _)| !point.moving || q.is_log()) {
                let Some(r) = read(&reader, point).filter(|r| r.measured.is_finite()) else { continue };
                let own = if point.moving { r.own.hypot(MOVING) } else { r.own };
                // power goes with the cube of speed: a mean of one is not that of the other; and means that scatter
                // within the stretch mix more than others
                let mixes = || {
                    averaging(quantity, r.measured, restless).hypot(scatter_of(quantity, point, r.measured))
                };
                let own = if point.averaged { own.hypot(mixes()) } else { own };
                rows.push(Row { point: k, quantity, measured: r.measured, shared: r.shared, own });
            }
        }
        if let (Some((level, moved)), false) = (look.stops.level_before_m, look.steady.is_empty()) {
            // it may still have been on its way back from a run before
            let own = 0.4f64.hypot(moved);
            let point = look.steady.len();
            let shared = system.sensors.level_error_m(level).hypot(0.1);
            rows.push(Row { point, quantity: Quantity::Level, measured: level, shared, own });
        }
        let (flow_at, points) = (system.sensors.flow_at(), look.steady.clone());
        Measured { rows, flow_at, points, late_m: reader.late_m }
    }

    /// True when a row was read at rest, before the first run.
    pub fn at_rest(&self, row: &Row) -> bool {
        row.point >= self.points.len()
    }

    /// What every row would read on `plant`.
    pub fn predict(&self, plant: &Plant) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.rows.len());
        let mut last: Option<(usize, Load)> = None;
        for row in &self.rows {
            let load = match last {
                Some((k, load)) if k == row.point => load,
                _ => {
                    let point = self.points.get(row.point);
                    // at rest, and rested
                    let rested = || plant.load_at(0.0, Level::After { minutes: 0.0 });
                    let load = point.map_or_else(rested, |p| speed::load_at(plant, p));
                    last = Some((row.point, load));
                    load
                }
            };
            let mut value = self.of_load(&load, row.quantity);
            if row.quantity == Quantity::OutputVoltage
                && let Some(dc) = self.points[row.point].get(Channel::ArrayV)
            {
                // no more comes out than the DC side can give
                value = value.min((1.01 * plant.controller.voltage_ratio() * dc).max(1.0).ln());
            }
            out.push(value);
        }
        out
    }

    /// One quantity of a load.
    pub fn of_load(&self, load: &Load, quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Power => load.dc_w.max(1.0).ln(),
            Quantity::PhaseCurrent => (RIPPLE * load.motor.phase_a).max(1e-3).ln(),
            Quantity::OutputVoltage => load.motor.told_line_v.max(1e-3).ln(),
            Quantity::Flow => match self.flow_at {
                FlowPlace::Wellhead => load.water.wellhead_m3_h,
                FlowPlace::Tank => load.water.tank_m3_h,
            },
            Quantity::Pressure => load.water.wellhead_kpa,
            Quantity::Level => load.water.level_m,
        }
    }
}

/// What is known of the sensors when a point is read.
struct Reader<'a> {
    sensors: &'a Sensors,
    plant: &'a Plant,
    /// Flow that stands for the size of the pump, m3/h.
    flow_size: f64,
    /// See [`Measured::late_m`].
    late_m: f64,
    /// Highest speed of the window, 1/min.
    top_rpm: f64,
}

/// A reading in the unit of its comparison, with what its errors share in a window and its own error, 1 sigma.
struct Reading {
    measured: f64,
    shared: f64,
    own: f64,
}

/// How a steady point tells a quantity; `None` where it does not.
type Read = fn(&Reader, &Steady) -> Option<Reading>;

/// Every quantity, in the order of its rows. Error widths: sensor classes of the contract; slow model errors are
/// engineering judgement.
const READ: [(Quantity, Read); 6] = [
    (Quantity::Power, power),
    (Quantity::PhaseCurrent, current),
    (Quantity::OutputVoltage, voltage),
    (Quantity::Flow, flow),
    (Quantity::Pressure, pressure),
    (Quantity::Level, level),
];

/// Extra error of a point whose speed was changing, 1 sigma of ln.
const MOVING: f64 = 0.025;

/// Where the speed was guessed from it, the power tells nothing more.
fn power(_: &Reader, p: &Steady) -> Option<Reading> {
    let w = p.dc_w().filter(|w| *w > 1.0 && p.guessed_by_w.is_none())?;
    let scatter = p.scatter(Channel::ArrayA) / p.get(Channel::ArrayA).unwrap_or(1.0).max(0.05);
    // V 1 %, A 2 %, slow model 2 %
    Some(Reading { measured: w.ln(), shared: 0.03, own: 0.012f64.hypot(scatter.min(0.2)).hypot(6.0 / w) })
}

fn current(_: &Reader, p: &Steady) -> Option<Reading> {
    let a = p.phase_a().filter(|a| *a > 0.05)?;
    // three sensors of 3 % each; ripple and angle of the drive's currents 2.5 %
    Some(Reading { measured: a.ln(), shared: 0.03, own: 0.012f64.hypot(0.03 / a) })
}

fn voltage(_: &Reader, p: &Steady) -> Option<Reading> {
    let v = p.get(Channel::OutputV).filter(|v| *v > 1.0)?;
    // what a drive tells of chopped voltages is loosely defined
    Some(Reading { measured: v.ln(), shared: 0.03, own: 0.006f64.hypot(0.3 / v) })
}

fn flow(r: &Reader, p: &Steady) -> Option<Reading> {
    let q = p.get(Channel::FlowM3H)?;
    let slow = 0.02 * q.abs() + 0.006 * r.flow_size;
    let shared = (r.sensors.flow_share() * q.abs()).hypot(slow);
    Some(Reading { measured: q, shared, own: 0.015 * q.abs() + 0.012 * r.flow_size })
}

fn pressure(r: &Reader, p: &Steady) -> Option<Reading> {
    let kpa = p.get(Channel::WellheadKpa)?;
    let shared = (r.sensors.pressure_share() * kpa.abs()).hypot(4.0);
    Some(Reading { measured: kpa, shared, own: 0.01 * kpa.abs() + 1.5 })
}

/// The level follows the flow late, and in the shadow of a cloud still stands where the sun left it.
fn level(r: &Reader, p: &Steady) -> Option<Reading> {
    let m = p.get(Channel::WaterLevelM)?;
    let fall = (m - r.plant.water.well.static_m).abs().min(30.0);
    let slow = p.rpm().unwrap_or(0.0) < SHADOW * r.top_rpm;
    let late = if slow && r.late_m == 0.0 { 0.6 } else { 0.12 };
    let shared = r.sensors.level_error_m(m).hypot(0.1);
    Some(Reading { measured: m, shared, own: 0.15f64.hypot(late * fall) })
}

/// Of the way that the level has between the slowest and the fastest point, so much may be left to go (engineering
/// judgement: wells take minutes to an hour to follow, clouds come every few minutes).
const LATE: f64 = 0.35;

/// How far the level may lie from where the flow of the moment would draw it, 1 sigma, m; nothing in steady light.
fn late_m(plant: &Plant, look: &Look) -> f64 {
    if look.steady.iter().filter(|p| p.moving).count() < 2 {
        return 0.0;
    }
    let drawn = |p: &Steady| p.rpm().map(|_| speed::load_at(plant, p).water.level_m);
    let levels = look.steady.iter().filter_map(drawn);
    let (low, high) = levels.fold((f64::INFINITY, 0.0f64), |(a, b), m| (a.min(m), b.max(m)));
    LATE * (high - low).max(0.0)
}

/// Scatter of a mean, in the unit of the comparison.
fn scatter_of(quantity: Quantity, point: &Steady, measured: f64) -> f64 {
    match quantity {
        // its own row counts it
        Quantity::Power => 0.0,
        Quantity::PhaseCurrent | Quantity::OutputVoltage => {
            (point.scatter(quantity.channel()) / measured.exp().max(0.05)).min(0.2)
        }
        Quantity::Flow | Quantity::Pressure | Quantity::Level => point.scatter(quantity.channel()),
    }
}

/// Slower than this share of its highest speed, the pump ran faster before.
const SHADOW: f64 = 0.8;

/// Error of a quantity averaged over minutes of changing speed; `restless` when it also started and stopped.
fn averaging(quantity: Quantity, measured: f64, restless: bool) -> f64 {
    let share = if restless { 0.25 } else { 0.05 };
    match quantity {
        Quantity::Power => share,
        Quantity::PhaseCurrent | Quantity::OutputVoltage => 0.6 * share,
        Quantity::Flow | Quantity::Pressure => share * measured.abs(),
        Quantity::Level => 10.0 * share,
    }
}
