//! Gas or air comes in with the water (centrifugal pumps).
//!
//! Less head, less flow and less torque, all three restless. Never explains: a steady reading, a gauge above
//! healthy.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct GasInWater;

/// Flow lost.
const LOST: [f64; 5] = [0.1, 0.22, 0.36, 0.52, 0.7];

impl CauseModel for GasInWater {
    fn cause(&self) -> Cause {
        Cause::GasInWater
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        LOST.into_iter()
            .map(|lost| {
                let mut h = Hypothesis::new(self.cause()).at(lost).with(|c| c.pump.gas = lost);
                h.torque_sigma = 0.08;
                h.torque_scatter = 0.05;
                h
            })
            .collect()
    }
}
