//! The load side of a hypothesis against what was measured, with everything that is not known marginalised.

use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use super::compared::{Columns, With};
use super::straight::Predicted;
use crate::baseline::Beside;
use crate::causes::{Hypothesis, LooseLoad};
use crate::likelihood::SharedErrors;
use crate::predict::speed::load_at;
use crate::predict::{Measured, Quantity};

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
    let with =
        With { measured, plant, predicted, h, pipes, beside, columns: Columns::new(measured, predicted, h) };
    let mut fit = LoadFit {
        log_likelihood: 0.0,
        mean: Vec::with_capacity(measured.rows.len()),
        sigma: Vec::with_capacity(measured.rows.len()),
        errors: SharedErrors::default(),
    };
    for (k, row) in measured.rows.iter().enumerate() {
        let compared = with.compare(k, row);
        fit.sigma.push(compared.loads.iter().map(|l| l * l).sum::<f64>().sqrt().hypot(compared.own));
        fit.mean.push(compared.mean);
        fit.errors.push(row.measured - compared.mean, compared.own, compared.loads);
    }
    let unknown = h.loose.load == LooseLoad::All;
    fit.log_likelihood =
        fit.errors.log_density() - if unknown { 0.0 } else { above_ceilings(measured, plant) };
    fit
}

/// Share by which the highest line voltage exceeds that of equal leads, at rated current and speed.
pub(super) fn one_lead_share(plant: &Plant) -> f64 {
    let m = &plant.motor;
    let drop = plant.condition.lead.one_lead_ohm * m.rated_a;
    let phase = m.ke_v_per_krpm * m.rated_rpm / 1000.0 / 3f64.sqrt();
    (0.5 * drop / phase).min(0.5)
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
