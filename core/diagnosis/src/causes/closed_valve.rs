//! Valve shut, or nearly, after gauge and meter.
//!
//! A centrifugal pump goes to its shut-off head with half its power; a helical rotor builds pressure until
//! the controller gives up or something bursts. Never explains: low pressure at the gauge while it runs.

use wellwright_domain::cause::Cause;
use wellwright_physics::hydraulics::Level;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct ClosedValve;

impl CauseModel for ClosedValve {
    fn cause(&self) -> Cause {
        Cause::ClosedValve
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        // mostly shut for good, else nearly so
        [(0.0, 4.0), (0.04, 1.5), (0.1, 1.5), (0.18, 1.5), (0.27, 1.5)]
            .into_iter()
            .map(|(passing, weight)| {
                let k = throttle(context, passing);
                let mut h = Hypothesis::new(self.cause()).at(passing).with(|c| c.water.valve_m_per_m3h2 = k);
                h.weight = weight;
                h
            })
            .collect()
    }
}

/// Loss coefficient that leaves `passing` of the healthy flow at the reference point, m per (m3/h)^2.
pub fn throttle(context: &Context, passing: f64) -> f64 {
    if passing <= 0.0 {
        return f64::INFINITY;
    }
    let plant = context.plant;
    let flow = passing * context.reference_flow_m3_h;
    let level = Level::After { minutes: plant.water.well.at_min };
    let asked = plant.water.head_m(&plant.condition.water, level, flow);
    let given = match &plant.pump {
        wellwright_physics::pump::Pump::Centrifugal(p) => {
            p.head_m(context.reference_rpm, flow, &plant.condition.pump)
        }
        wellwright_physics::pump::Pump::Helical(p) => {
            let c = &plant.condition.pump;
            (p.swept_m3_h(context.reference_rpm, c) - flow) / p.slip(c, asked).max(1e-6)
        }
    };
    ((given - asked) / (flow * flow)).max(0.0)
}
