//! Strainer or impellers partly blocked: the flow capacity shrinks, the shut-off head stays.
//!
//! Never explains: a shut-off pressure below the pump's own, a gauge above healthy.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, on_grid};

/// See the module.
pub struct BlockedIntake;

/// Flow capacity lost.
const LOST: [f64; 7] = [0.2, 0.3, 0.42, 0.55, 0.68, 0.8, 0.9];

impl CauseModel for BlockedIntake {
    fn cause(&self) -> Cause {
        Cause::BlockedIntake
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.3), (Touched::Well, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.12), (Noticed::MuddyWater, 0.2)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut all = on_grid(self.cause(), LOST, |c, lost| c.pump.blockage = lost);
        for h in &mut all {
            h.torque_sigma = 0.06;
        }
        all
    }
}
