//! The water in riser and surface pipe after a stop: does it stay, and how long does it take to fill them again?

use std::f64::consts::FRAC_PI_4;

use wellwright_domain::record::System;
use wellwright_physics::hydraulics::WaterPoint;
use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;

/// What is known of the water in the pipes before a start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// The first start of a new system: the pipes may never have been filled.
    pub first_ever: bool,
    /// A check valve is fitted, as far as the record says.
    pub valve: bool,
}

impl Column {
    /// True when the pipes may be empty before a start under a hypothesis.
    pub fn may_be_empty(self, h: &Hypothesis) -> bool {
        self.first_ever || drained(h, self.valve, f64::INFINITY).is_some()
    }
}

/// A check valve is fitted, as far as the record says.
pub fn valve_fitted(system: &System) -> bool {
    system.delivery.check_valve != Some(false)
}

/// Seconds from the command to water through a full pipe: ramp and check valve (engineering judgement: 4 to 60 s).
pub const PROMPT_S: f64 = 16.0;

/// Less flow than this fills nothing in a time worth telling, m3/h.
const LEAST_M3_H: f64 = 0.05;

/// Of the column so much has run back after a usual rest through a hole in the riser: to the hole, wherever it is,
/// and how fast nobody knows; and where no check valve is fitted, but mostly one in the pump (engineering judgement).
const THROUGH_A_HOLE: f64 = 0.5;
const WITHOUT_VALVE: f64 = 0.8;

/// Seconds to fill the riser from the resting level to the wellhead with `flow_m3_h`.
pub fn fill_s(plant: &Plant, flow_m3_h: f64) -> f64 {
    length_fills_s(plant.water.pipes.riser.inner_mm, plant.water.well.static_m, flow_m3_h)
}

/// Seconds to fill so many metres of a pipe.
fn length_fills_s(inner_mm: f64, length_m: f64, flow_m3_h: f64) -> f64 {
    let bore_m = inner_mm / 1000.0;
    let volume_m3 = FRAC_PI_4 * bore_m * bore_m * length_m;
    3600.0 * volume_m3 / flow_m3_h.max(LEAST_M3_H)
}

/// Minutes to fill riser and surface pipe, from the resting level to the outlet, with `flow_m3_h`.
pub fn fills_all_min(plant: &Plant, flow_m3_h: f64) -> f64 {
    let surface = &plant.water.pipes.surface;
    (fill_s(plant, flow_m3_h) + length_fills_s(surface.inner_mm, surface.length_m, flow_m3_h)) / 60.0
}

/// Pressure of the full column on the gauge while no water passes it, kPa: it may have drained since, was never
/// filled, or is held by the check valve. `None` where water passes, and where the pump presses more than the column
/// against something shut: that does not drain.
pub fn stands_kpa(plant: &Plant, water: &WaterPoint) -> Option<f64> {
    let full = plant.water.pipes.column_kpa();
    let pressed = water.wellhead_kpa > PRESSED * full + PRESSED_KPA;
    (water.wellhead_m3_h <= STILL_M3_H && !pressed).then_some(full)
}

/// Less flow is none, m3/h.
const STILL_M3_H: f64 = 1e-6;

/// More than this many times the column, and so much more, is the pump's own head, 1 and kPa.
const PRESSED: f64 = 1.05;
const PRESSED_KPA: f64 = 1.0;

/// Share of the column that has run back after a rest of `rest_min` minutes; `None` when it stays.
pub fn drained(h: &Hypothesis, valve_fitted: bool, rest_min: f64) -> Option<f64> {
    match h.drains_in_min {
        Some(minutes) => Some((rest_min / minutes).min(1.0)),
        None if h.condition.water.riser_leak_m3_h > 0.0 => Some(THROUGH_A_HOLE),
        None => (!valve_fitted).then_some(WITHOUT_VALVE),
    }
}
