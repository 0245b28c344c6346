//! Gas or air comes in with the water (centrifugal pumps).
//!
//! Less head, less flow and less torque, all three restless. Never explains: a steady reading, a gauge above
//! healthy.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, on_grid};

/// See the module.
pub struct GasInWater;

/// Flow lost.
const LOST: [f64; 5] = [0.1, 0.22, 0.36, 0.52, 0.7];

/// A steady stream of small bubbles, or slugs that come and go.
const SCATTER: [f64; 2] = [0.015, 0.06];

impl CauseModel for GasInWater {
    fn cause(&self) -> Cause {
        Cause::GasInWater
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Well, 1.6), (Touched::Pump, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.3), (Noticed::WaterLate, 0.06)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let calm = on_grid(self.cause(), LOST, |c, lost| c.pump.gas = lost);
        let both = calm.into_iter().flat_map(|h| SCATTER.map(|scatter| (h.clone(), scatter)));
        both.map(|(h, torque_scatter)| Hypothesis { torque_sigma: 0.08, torque_scatter, ..h }).collect()
    }
}
