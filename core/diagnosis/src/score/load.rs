//! The load side of a hypothesis: predictions with everything that is not known marginalised.

use wellwright_physics::hydraulics::Level;
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::Pump;

use crate::causes::Hypothesis;
use crate::likelihood::SharedErrors;
use crate::nuisance::Nuisance;
use crate::predict::{Measured, Quantity, reference_flow};

/// Quantities in the order of their shared-error columns.
const QUANTITIES: [Quantity; 6] = [
    Quantity::Power,
    Quantity::PhaseCurrent,
    Quantity::OutputVoltage,
    Quantity::Flow,
    Quantity::Pressure,
    Quantity::Level,
];

/// Moves the torque of a pump that works otherwise than it should.
fn torque(plant: &mut Plant, step: f64) {
    let c = &mut plant.condition.pump;
    match &mut c.dry_torque_share {
        Some(share) => *share *= step.exp(),
        None => c.efficiency_ratio *= (-step).exp(),
    }
}

/// Above this a still pressure is the pump's own head against something shut, kPa: it does not drain.
const COLUMN_KPA: f64 = 150.0;

/// Predictions and misfit of one hypothesis.
#[derive(Debug, Clone)]
pub struct LoadFit {
    /// log marginal density.
    pub log_likelihood: f64,
    /// Mean prediction of every row of [`Measured`].
    pub mean: Vec<f64>,
    /// Spread of the comparison of every row, 1 sigma.
    pub sigma: Vec<f64>,
    /// Rows, for evidence; the first rows are those of [`Measured`], ceilings follow.
    pub errors: SharedErrors,
}

/// Fits one hypothesis. `unknown` spreads the predictions widely.
pub fn fit(
    measured: &Measured,
    healthy: &Plant,
    list: &[Nuisance],
    h: &Hypothesis,
    unknown: bool,
) -> LoadFit {
    let mut plant = healthy.clone();
    plant.condition = h.condition;
    let mut list = list.to_vec();
    if h.torque_sigma > 0.0 {
        list.push(Nuisance { name: "torque", sigma: h.torque_sigma, apply: torque });
    }
    let centre = measured.predict(&plant);
    let n = centre.len();
    let mut mean = centre.clone();
    let mut slopes = vec![vec![0.0; list.len()]; n];
    for (j, nuisance) in list.iter().enumerate() {
        let moved = |step: f64| {
            let mut p = plant.clone();
            (nuisance.apply)(&mut p, step);
            measured.predict(&p)
        };
        let (up, down) = (moved(nuisance.sigma), moved(-nuisance.sigma));
        for k in 0..n {
            slopes[k][j] = 0.5 * (up[k] - down[k]);
            mean[k] += 0.5 * (up[k] + down[k] - 2.0 * centre[k]);
        }
    }
    let flow_size = reference_flow(healthy);
    let width = list.len() + QUANTITIES.len();
    let mut errors = SharedErrors::default();
    let mut sigma = Vec::with_capacity(n);
    for (k, row) in measured.rows.iter().enumerate() {
        let mut loads = vec![0.0; width];
        loads[..list.len()].copy_from_slice(&slopes[k]);
        let mut shared = row.shared;
        let mut own = row.own;
        if unknown {
            shared = shared.hypot(unknown_spread(row.quantity, flow_size, row.measured));
            own *= 2.5;
        }
        if h.loose_electrical > 0.0 && row.quantity.is_log() {
            shared = shared.hypot(h.loose_electrical);
            own = own.hypot(0.3 * h.loose_electrical);
        }
        if matches!(row.quantity, Quantity::Power | Quantity::PhaseCurrent) {
            own = own.hypot(h.torque_scatter);
            if near_lift(&plant, measured, row.point) {
                own = own.hypot(0.035);
            }
        }
        if row.quantity == Quantity::OutputVoltage && h.condition.lead.one_lead_ohm > 0.0 {
            // the currents, and so the voltages, may be less equal than a drive means them to be
            shared = shared.hypot(0.2 * one_lead_share(&plant));
        }
        let mut predicted = mean[k];
        if row.quantity == Quantity::Pressure && still_water(measured, &centre, row.point) && centre[k] > 0.0
        {
            // a column that does not move may have drained, was never filled, or is held by the check valve:
            // anything from nothing to the full column is as likely
            predicted = row.measured.clamp(0.0, centre[k].min(COLUMN_KPA));
            shared = shared.hypot(0.29 * centre[k].min(COLUMN_KPA));
        }
        if measured.points[row.point].minutes < SETTLED_MIN {
            shared = shared.hypot(filling(row.quantity, flow_size, predicted));
        }
        let column = QUANTITIES.iter().position(|q| *q == row.quantity).unwrap_or(0);
        loads[list.len() + column] = shared;
        let spread = loads.iter().map(|l| l * l).sum::<f64>().sqrt().hypot(own);
        sigma.push(spread);
        errors.push(row.measured - predicted, own, loads);
    }
    push_ceilings(measured, &plant, unknown, width, &mut errors);
    LoadFit { log_likelihood: errors.log_density(), mean, sigma, errors }
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

/// How far the load side of a plant with an unknown fault may lie from a healthy one.
fn unknown_spread(quantity: Quantity, flow_size: f64, measured: f64) -> f64 {
    match quantity {
        Quantity::Power | Quantity::PhaseCurrent => 0.5,
        Quantity::OutputVoltage => 0.25,
        Quantity::Flow => 0.5 * flow_size,
        Quantity::Pressure => 40.0 + 0.4 * measured.abs(),
        Quantity::Level => 6.0,
    }
}

/// True when a centrifugal pump barely lifts, or barely does not, at a point: there a per cent of head decides
/// between some flow and none, and no linear spread describes it.
fn near_lift(plant: &Plant, measured: &Measured, point: usize) -> bool {
    let Pump::Centrifugal(pump) = &plant.pump else { return false };
    let p = &measured.points[point];
    let Some(rpm) = p.rpm() else { return false };
    let own = pump.head_m(rpm, 0.0, &plant.condition.pump);
    let asked = plant.water.head_m(&plant.condition.water, Level::After { minutes: p.minutes }, 0.0);
    (own / asked.max(0.1) - 1.0).abs() < 0.12
}

/// True when the hypothesis moves no water at a point.
fn still_water(measured: &Measured, centre: &[f64], point: usize) -> bool {
    match measured.rows.iter().zip(centre).find(|(r, _)| r.point == point && r.quantity == Quantity::Flow) {
        Some((_, flow)) => *flow <= 1e-6,
        None => false,
    }
}

/// A hypothesis that needs more voltage than there is, or more current than the limit, could not have run at
/// the measured speed. One row each, for the worst point; nothing when there is room.
fn push_ceilings(measured: &Measured, plant: &Plant, unknown: bool, width: usize, errors: &mut SharedErrors) {
    if unknown || measured.points.is_empty() {
        return;
    }
    let (mut volts, mut amps) = (0.0f64, 0.0f64);
    for p in &measured.points {
        let Some(rpm) = p.rpm() else { continue };
        let load = plant.load_at(rpm, Level::After { minutes: p.minutes });
        if let Some(dc) = p.get(wellwright_domain::channel::Channel::ArrayV) {
            volts = volts.max((load.motor.line_v / (plant.controller.voltage_ratio() * dc)).ln());
        }
        if p.phase_a().is_none() {
            amps = amps.max((load.motor.phase_a / plant.controller.max_phase_a).ln());
        }
    }
    // tolerances of Ke, resistance and modulation; of the limit itself. With one bad lead the currents may
    // become unequal instead, so that more voltage seems to be needed than really is.
    let voltage_own = 0.045f64.hypot(0.7 * one_lead_share(plant));
    for (excess, own) in [(volts.min(2.0), voltage_own), (amps.min(2.0), 0.07)] {
        errors.push(-(excess - 0.02).max(0.0), own, vec![0.0; width]);
    }
}
