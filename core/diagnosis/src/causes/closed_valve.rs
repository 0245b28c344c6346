//! Valve shut, or nearly, after gauge and meter.
//!
//! A centrifugal pump goes to its shut-off head with half its power; a helical rotor builds pressure until
//! the controller gives up or something bursts. Never explains: low pressure at the gauge while it runs.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct ClosedValve;

impl CauseModel for ClosedValve {
    fn cause(&self) -> Cause {
        Cause::ClosedValve
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pipework, 2.5), (Touched::Tank, 1.5), (Touched::Pump, 1.3)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.08)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        nearly_shut(self.cause(), context, Throttled::AfterGauge)
    }
}

/// Where the flow is throttled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Throttled {
    /// After gauge and meter: the gauge reads high.
    AfterGauge,
    /// Before them: the gauge reads low.
    BelowGauge,
}

/// Mostly shut for good, else nearly so.
pub fn nearly_shut(cause: Cause, context: &Context, at: Throttled) -> Vec<Hypothesis> {
    [(0.0, 4.0), (0.04, 1.5), (0.1, 1.5), (0.18, 1.5), (0.27, 1.5)]
        .into_iter()
        .map(|(passing, weight)| {
            let k = throttle(context, passing);
            let mut h = Hypothesis::new(cause).at(passing).weighing(weight).with(|c| match at {
                Throttled::AfterGauge => c.water.valve_m_per_m3h2 = k,
                Throttled::BelowGauge => c.water.blocked_m_per_m3h2 = k,
            });
            // the curve's end at no flow is the least known part of it
            h.torque_sigma = 0.08;
            h
        })
        .collect()
}

/// Loss coefficient that leaves `passing` of the healthy flow at 900 W/m2, m per (m3/h)^2, with whatever limit
/// of the controller then holds (a helical rotor slows down at its current limit). Where the pump stalls before
/// the flow has fallen so far, the last coefficient that it still turns against.
pub fn throttle(context: &Context, passing: f64) -> f64 {
    context
        .throttles
        .of(passing, |passing| if passing <= 0.0 { f64::INFINITY } else { searched(context, passing) })
}

/// Halvings of the logarithm of a loss coefficient: to a thousandth.
const HALVINGS: usize = 15;

fn searched(context: &Context, passing: f64) -> f64 {
    let wanted = passing * context.reference_flow_m3_h;
    let flow = |log_k: f64| {
        let mut plant = context.plant.clone();
        plant.condition.water.valve_m_per_m3h2 = log_k.exp();
        plant.operating_point(&context.reference).load.map_or(0.0, |l| l.water.pump_m3_h)
    };
    let (mut low, mut high) = (-9.0f64, 12.0f64);
    for _ in 0..HALVINGS {
        let mid = 0.5 * (low + high);
        if flow(mid) > wanted { low = mid } else { high = mid }
    }
    low.exp()
}
