//! Gas or air comes in with the water (centrifugal pumps).
//!
//! Less head, less flow and less torque, all three restless. Never explains: a steady reading, a gauge above
//! healthy.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, on_grid};

/// See the module.
pub struct GasInWater;

/// Flow lost.
const LOST: [f64; 5] = [0.1, 0.22, 0.36, 0.52, 0.7];

impl CauseModel for GasInWater {
    fn cause(&self) -> Cause {
        Cause::GasInWater
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut all = on_grid(self.cause(), LOST, |c, lost| c.pump.gas = lost);
        for h in &mut all {
            h.torque_sigma = 0.08;
            h.torque_scatter = 0.05;
        }
        all
    }
}
