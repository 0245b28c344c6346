//! The load side of a hypothesis against what was measured, with everything that is not known marginalised.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::record::FlowPlace;
use wellwright_physics::plant::Plant;

use super::straight::{OWN, Predicted};
use crate::baseline::Beside;
use crate::causes::{Hypothesis, LooseLoad, SensorWrong};
use crate::likelihood::SharedErrors;
use crate::predict::column::fills_all_min;
use crate::predict::speed::load_at;
use crate::predict::{Measured, Quantity, Row};

/// Quantities in the order of their shared-error columns.
pub(super) const QUANTITIES: [Quantity; 6] = [
    Quantity::Power,
    Quantity::PhaseCurrent,
    Quantity::OutputVoltage,
    Quantity::Flow,
    Quantity::Pressure,
    Quantity::Level,
];

/// What stays of the errors of their sensors, by name.
pub const SENSORS: [&str; 6] = [
    "power_reading",
    "current_reading",
    "voltage_reading",
    "flow_reading",
    "pressure_reading",
    "level_reading",
];

/// Predictions and misfit of one hypothesis.
#[derive(Debug, Clone)]
pub struct LoadFit {
    /// log marginal density.
    pub log_likelihood: f64,
    /// Mean prediction of every row of [`Measured`], with all that is not known as the record has it: as it is told.
    pub mean: Vec<f64>,
    /// Spread of that comparison of every row, 1 sigma.
    pub sigma: Vec<f64>,
    /// Rows, for evidence; the first rows are those of [`Measured`], ceilings follow.
    pub errors: SharedErrors,
}

impl LoadFit {
    /// The same comparison with lines drawn elsewhere; what is told stays what the record says.
    pub(super) fn redrawn(self, nearer: LoadFit) -> LoadFit {
        LoadFit { mean: self.mean, sigma: self.sigma, ..nearer }
    }
}

/// What is known of the water on its way.
#[derive(Debug, Clone, Copy)]
pub struct Pipes {
    /// Flow that stands for the size of the pump, m3/h.
    pub flow_size: f64,
    /// The pipes may be empty before a start.
    pub may_be_empty: bool,
    /// Which of the quantities that are not known is the level, and its spread, m.
    pub level: (usize, f64),
}

/// Compares one hypothesis with what was measured. `plant` is the plant that it says, `predicted` what that plant
/// would show; a baseline narrows what is not known.
pub fn fit(
    measured: &Measured,
    plant: &Plant,
    predicted: &Predicted,
    h: &Hypothesis,
    pipes: Pipes,
    beside: Beside,
) -> LoadFit {
    let flow_size = pipes.flow_size;
    let unknown = h.loose.load == LooseLoad::All;
    // first what is the same at all times: the latent quantities, then what stays of the sensors' errors
    let lasting = predicted.slopes.first().map_or(0, |s| s.len() - OWN.len());
    let own_at = lasting + QUANTITIES.len();
    let latent = own_at + OWN.len() + 3;
    // last what is anew at each moment: how far the level is behind, and what comes and goes
    let behind = latent + QUANTITIES.len();
    let moments = behind + if measured.late_m > 0.0 { measured.points.len() } else { 0 };
    let width = moments + if h.at_times.is_some() { measured.points.len() } else { 0 };
    let (level, level_m) = pipes.level;
    let n = predicted.centre.len();
    let mut errors = SharedErrors::default();
    let mut sigma = Vec::with_capacity(n);
    let mut means = Vec::with_capacity(n);
    for (k, row) in measured.rows.iter().enumerate() {
        let mut loads = vec![0.0; width];
        loads[..lasting].copy_from_slice(&predicted.slopes[k][..lasting]);
        loads[own_at..latent - 3].copy_from_slice(&predicted.slopes[k][lasting..]);
        let sensor = QUANTITIES.iter().position(|q| *q == row.quantity).unwrap_or(0);
        let (stays, mut shared) = beside.parts(row.shared);
        loads[lasting + sensor] = stays;
        let mut own = row.own;
        let anything = unknown_spread(row.quantity, flow_size, row.measured);
        match h.loose.load {
            LooseLoad::All => (shared, own) = (shared.hypot(anything), 2.5 * own),
            LooseLoad::Only(q) if q == row.quantity => {
                (shared, own) = (shared.hypot(0.5 * anything), 2.5 * own);
            }
            LooseLoad::Moments => own = own.hypot(COMES_AND_GOES * anything),
            LooseLoad::Only(_) | LooseLoad::Nothing => {}
        }
        if h.loose_electrical > 0.0 && row.quantity.is_log() {
            shared = shared.hypot(h.loose_electrical);
            own = own.hypot(0.1 * h.loose_electrical);
        }
        if matches!(row.quantity, Quantity::Power | Quantity::PhaseCurrent) {
            own = own.hypot(h.torque_scatter);
        }
        own = own.hypot(predicted.rough[k].1);
        loads[latent - 3] = predicted.rough[k].0;
        loads[latent - 2] = predicted.within[0][k];
        loads[latent - 1] = predicted.within[1][k];
        if measured.late_m > 0.0 && !measured.at_rest(row) {
            loads[behind + row.point] = predicted.slopes[k][level] * measured.late_m / level_m;
        }
        if let Some(at) = loads.get_mut(moments + row.point) {
            *at = predicted.at_times[k] / 12f64.sqrt();
            own = own.hypot(BENT * predicted.at_times[k]);
        }
        if h.torque_scatter > 0.0 && row.quantity == Quantity::Flow {
            own = own.hypot(2.0 * h.torque_scatter * row.measured.abs());
        }
        if row.quantity == Quantity::OutputVoltage && h.condition.lead.one_lead_ohm > 0.0 {
            // the currents, and so the voltages, may be less equal than a drive means them to be
            shared = shared.hypot(0.2 * one_lead_share(plant));
        }
        let moved = beside.narrow(&mut loads);
        let mut mean = predicted.mean[k] + moved + 0.5 * predicted.at_times[k];
        if let Some(column) = predicted.stands_kpa[k] {
            // anything from nothing to the full column is as likely
            mean = row.measured.clamp(0.0, column);
            shared = shared.hypot(0.29 * column);
        }
        if pipes.may_be_empty && may_still_fill(measured, plant, row) {
            // anything from an empty pipe to what a full one gives is as likely
            (mean, own) = (row.measured.clamp(mean.min(0.0), mean.max(0.0)), own.hypot(0.29 * mean));
        }
        if let Some((channel, wrong)) = h.sensor.filter(|(c, _)| *c == row.quantity.channel()) {
            let (told, spread) = misread(h, channel, wrong, mean);
            // the bias is that of the reading, and the grid stands for what lies between its values
            shared = (shared * told.abs() / mean.abs().max(1e-6)).min(shared).hypot(spread);
            mean = told;
            if let SensorWrong::Ratio(r) = wrong {
                // what moves the truth moves the reading so many times as far
                for load in &mut loads {
                    *load *= r;
                }
            }
        }
        if measured.at_rest(row) {
            own = own.hypot(falls_while_pumping(h.cause, plant));
        } else if measured.points[row.point].running < SETTLED_MIN {
            shared = shared.hypot(filling(row.quantity, flow_size, mean));
        }
        loads[latent + sensor] = shared;
        let spread = loads.iter().map(|l| l * l).sum::<f64>().sqrt().hypot(own);
        sigma.push(spread);
        means.push(mean);
        errors.push(row.measured - mean, own, loads);
    }
    let log_likelihood = errors.log_density() - if unknown { 0.0 } else { above_ceilings(measured, plant) };
    LoadFit { log_likelihood, mean: means, sigma, errors }
}

/// A pipe takes up to so many times its volume to fill: air stays behind, and less comes than is foreseen.
const AIR: f64 = 1.5;

/// True when a row reads what lies behind pipes that a start may still be filling.
fn may_still_fill(measured: &Measured, plant: &Plant, row: &Row) -> bool {
    let behind = match row.quantity {
        Quantity::Pressure => true,
        Quantity::Flow => measured.flow_at == FlowPlace::Tank,
        _ => false,
    };
    let Some(point) = measured.points.get(row.point).filter(|_| behind) else { return false };
    let load = load_at(plant, point);
    point.running < AIR * fills_all_min(plant, load.water.wellhead_m3_h).min(LONGEST_FILL_MIN)
}

/// Nobody waits longer for a pipe to fill, min.
const LONGEST_FILL_MIN: f64 = 40.0;

/// What a wrong sensor tells for a true `value`, and half the step of the grid of errors there.
fn misread(h: &Hypothesis, channel: Channel, wrong: SensorWrong, value: f64) -> (f64, f64) {
    let told = h.told(channel, value);
    let step = match wrong {
        // a dead one reads nothing, and no step beside it
        SensorWrong::Ratio(0.0) => 0.0,
        SensorWrong::Ratio(_) => 0.05 * value.abs(),
        SensorWrong::Offset(d) => 0.12 * d.abs(),
    };
    (told, step)
}

/// How far the level at rest may lie above what these causes say of it while pumping, m.
fn falls_while_pumping(cause: Cause, plant: &Plant) -> f64 {
    let well = &plant.water.well;
    match cause {
        Cause::DryRunning | Cause::WellYieldLimit => (well.intake_m - well.static_m).max(1.0),
        _ => 0.0,
    }
}

/// Before this many minutes of pumping the column may still fill and the ramp may not have ended.
const SETTLED_MIN: f64 = 2.4;

/// Spread of a reading while the column fills.
fn filling(quantity: Quantity, flow_size: f64, predicted: f64) -> f64 {
    match quantity {
        Quantity::Power | Quantity::PhaseCurrent => 0.3,
        Quantity::OutputVoltage => 0.08,
        Quantity::Flow => 0.6 * flow_size,
        Quantity::Pressure => 0.5 * predicted.abs() + 20.0,
        Quantity::Level => 1.5,
    }
}

/// Share by which the highest line voltage exceeds that of equal leads, at rated current and speed.
fn one_lead_share(plant: &Plant) -> f64 {
    let m = &plant.motor;
    let drop = plant.condition.lead.one_lead_ohm * m.rated_a;
    let phase = m.ke_v_per_krpm * m.rated_rpm / 1000.0 / 3f64.sqrt();
    (0.5 * drop / phase).min(0.5)
}

/// Of that so much from moment to moment, when what is wrong comes and goes.
const COMES_AND_GOES: f64 = 0.15;

/// What a quantity may lie beside the straight way between both ends of what comes and goes, as a share of that way.
const BENT: f64 = 0.03;

/// How far the load side of a plant with an unknown fault may lie from a healthy one.
fn unknown_spread(quantity: Quantity, flow_size: f64, measured: f64) -> f64 {
    match quantity {
        Quantity::Power | Quantity::PhaseCurrent => 0.9,
        Quantity::OutputVoltage => 0.4,
        Quantity::Flow => 0.6 * flow_size,
        Quantity::Pressure => 60.0 + 0.5 * measured.abs(),
        Quantity::Level => 8.0,
    }
}

/// What it costs a hypothesis that it needs more voltage than there is, or more current than the limit, at the worst
/// point, natural log: it could not have run at the measured speed. Nothing when there is room.
fn above_ceilings(measured: &Measured, plant: &Plant) -> f64 {
    let (mut volts, mut amps) = (0.0f64, 0.0f64);
    for p in &measured.points {
        if p.rpm().is_none() {
            continue;
        }
        let load = load_at(plant, p);
        if let Some(dc) = p.get(Channel::ArrayV) {
            volts = volts.max((load.motor.line_v / (plant.controller.voltage_ratio() * dc)).ln());
        }
        if p.phase_a().is_none() {
            amps = amps.max((load.motor.phase_a / plant.controller.max_phase_a).ln());
        }
    }
    // tolerances of Ke, resistance and modulation; of the limit itself. With one bad lead the currents may
    // become unequal instead, so that more voltage seems to be needed than really is.
    let voltage_own = 0.045f64.hypot(0.7 * one_lead_share(plant));
    let cost = |excess: f64, own: f64| 0.5 * ((excess.min(2.0) - 0.02).max(0.0) / own).powi(2).min(MOST_COST);
    cost(volts, voltage_own) + cost(amps, 0.07)
}

/// Twice the most that one ceiling costs.
const MOST_COST: f64 = 60.0;
