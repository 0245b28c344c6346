//! What each channel would read: the load side at the measured speed, stacked over steady points.
//!
//! The controller tells the speed it commands without error, so the load side is compared *at the measured
//! speed*: there the prediction is smooth, whatever held the speed there. What the sun should have allowed is
//! compared apart ([`crate::predict::sun`]).

pub mod as_seen;
pub mod climate;
pub mod column;
pub mod outcome;
pub mod peaks;
pub mod sky;
pub mod speed;
pub mod sun;

use wellwright_domain::channel::Channel;
use wellwright_domain::record::{FlowPlace, System};
use wellwright_physics::error::PhysicsError;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::plant::{Assumed, Plant};

use crate::window::{Look, Steady};

/// What a clean array of sound modules takes of the light, over what its data sheet says: glass at an angle and
/// under a diffuse sky 1.5 %, mismatch 1 %, a little dirt (common practice, no single source).
const ARRAY_SHARE: f64 = 0.97;

/// What a drive's current sensors read over the current that makes torque: ripple and angle error (engineering
/// judgement).
pub const RIPPLE: f64 = 1.02;

/// The magnets of a running motor lie this much above the water, K (engineering judgement: the rotor stays cooler
/// than the winding), and lose 0.1 % of their flux a kelvin over 20 degC (neodymium iron boron; from memory).
const MAGNET_RISE_K: f64 = 20.0;
const FLUX_PER_K: f64 = -0.001;

/// Water of a well whose temperature nobody wrote down, degC (engineering judgement: near the mean of the year).
pub const WATER_C: f64 = 18.0;

/// The plant of a record as it ordinarily is when healthy, and what had to be assumed.
///
/// Errors: as [`Plant::from_record`].
pub fn healthy_plant(system: &System) -> Result<(Plant, Vec<Assumed>), PhysicsError> {
    let (mut plant, assumed) = Plant::from_record(system)?;
    plant.array.current_share *= ARRAY_SHARE;
    let water_c = system.well.water_c.unwrap_or(WATER_C);
    plant.motor.ke_v_per_krpm *= 1.0 + FLUX_PER_K * (water_c + MAGNET_RISE_K - 20.0);
    Ok((plant, assumed))
}

/// A quantity compared on the load side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Logarithm of DC power.
    Power,
    /// Logarithm of mean phase current.
    PhaseCurrent,
    /// Logarithm of the output voltage.
    OutputVoltage,
    /// Flow, m3/h.
    Flow,
    /// Wellhead pressure, kPa.
    Pressure,
    /// Water level, m.
    Level,
}

impl Quantity {
    /// The channel that carries it, for evidence.
    pub fn channel(self) -> Channel {
        match self {
            Quantity::Power => Channel::ArrayA,
            Quantity::PhaseCurrent => Channel::PhaseUA,
            Quantity::OutputVoltage => Channel::OutputV,
            Quantity::Flow => Channel::FlowM3H,
            Quantity::Pressure => Channel::WellheadKpa,
            Quantity::Level => Channel::WaterLevelM,
        }
    }

    /// True when the comparison is of logarithms.
    pub fn is_log(self) -> bool {
        matches!(self, Quantity::Power | Quantity::PhaseCurrent | Quantity::OutputVoltage)
    }
}

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
    ///
    /// Error widths: sensor classes of the contract; slow model errors are engineering judgement.
    pub fn new(system: &System, plant: &Plant, look: &Look) -> Measured {
        let mut rows = Vec::new();
        let best_flow = reference_flow(plant);
        let flow_class = system.sensors.flow_m3_h.as_ref();
        let flow_share = flow_class.and_then(|s| s.accuracy_pct).unwrap_or(3.0) / 100.0;
        let kpa_share =
            system.sensors.wellhead_kpa.as_ref().and_then(|s| s.accuracy_pct).unwrap_or(2.0) / 100.0;
        let level_m = system.sensors.water_level_m.as_ref().and_then(|s| s.accuracy_m).unwrap_or(0.3);
        let restless = look.stops.starts > 6;
        let late_m = late_m(plant, look);
        let top_rpm = look.steady.iter().filter_map(Steady::rpm).fold(0.0, f64::max);
        for (k, point) in look.steady.iter().enumerate().filter(|(_, point)| !point.filling) {
            let mut push = |quantity: Quantity, measured: f64, shared: f64, own: f64| {
                let own = if point.moving { own.hypot(0.025) } else { own };
                // power goes with the cube of speed: a mean of one is not that of the other; and means that scatter
                // within the stretch mix more than others
                let own = if point.averaged {
                    own.hypot(averaging(quantity, measured, restless))
                        .hypot(scatter_of(quantity, point, measured))
                } else {
                    own
                };
                if measured.is_finite() && (!point.moving || quantity.is_log()) {
                    rows.push(Row { point: k, quantity, measured, shared, own });
                }
            };
            if let Some(w) = point.dc_w().filter(|w| *w > 1.0 && point.guessed_by_w.is_none()) {
                let scatter =
                    point.scatter(Channel::ArrayA) / point.get(Channel::ArrayA).unwrap_or(1.0).max(0.05);
                // V 1 %, A 2 %, slow model 2 %
                push(Quantity::Power, w.ln(), 0.03, 0.012f64.hypot(scatter.min(0.2)).hypot(6.0 / w));
            }
            if let Some(a) = point.phase_a().filter(|a| *a > 0.05) {
                // three sensors of 3 % each; ripple and angle of the drive's currents 2.5 %
                push(Quantity::PhaseCurrent, a.ln(), 0.03, 0.012f64.hypot(0.03 / a));
            }
            if let Some(v) = point.get(Channel::OutputV).filter(|v| *v > 1.0) {
                // what a drive tells of chopped voltages is loosely defined
                push(Quantity::OutputVoltage, v.ln(), 0.03, 0.006f64.hypot(0.3 / v));
            }
            if let Some(q) = point.get(Channel::FlowM3H) {
                let slow = 0.02 * q.abs() + 0.006 * best_flow;
                push(
                    Quantity::Flow,
                    q,
                    (flow_share * q.abs()).hypot(slow),
                    0.015 * q.abs() + 0.012 * best_flow,
                );
            }
            if let Some(p) = point.get(Channel::WellheadKpa) {
                push(Quantity::Pressure, p, (kpa_share * p.abs()).hypot(4.0), 0.01 * p.abs() + 1.5);
            }
            if let Some(m) = point.get(Channel::WaterLevelM) {
                // the level follows the flow late, and in the shadow of a cloud still stands where the sun left it
                let fall = (m - plant.water.well.static_m).abs().min(30.0);
                let slow = point.rpm().unwrap_or(0.0) < SHADOW * top_rpm;
                let late = if slow && late_m == 0.0 { 0.6 } else { 0.12 };
                push(Quantity::Level, m, level_m.hypot(0.1), 0.15f64.hypot(late * fall));
            }
        }
        if let (Some((level, moved)), false) = (look.stops.level_before_m, look.steady.is_empty()) {
            // it may still have been on its way back from a run before
            let own = 0.4f64.hypot(moved);
            let point = look.steady.len();
            let shared = level_m.hypot(0.1);
            rows.push(Row { point, quantity: Quantity::Level, measured: level, shared, own });
        }
        let flow_at = flow_class.and_then(|s| s.at).unwrap_or(FlowPlace::Wellhead);
        Measured { rows, flow_at, points: look.steady.clone(), late_m }
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

/// A flow that stands for the size of the pump: healthy, at its highest speed, m3/h.
pub fn reference_flow(plant: &Plant) -> f64 {
    let load =
        plant.load_at(0.95 * plant.controller.max_rpm, Level::After { minutes: plant.water.well.at_min });
    load.water.pump_m3_h.max(0.05)
}
