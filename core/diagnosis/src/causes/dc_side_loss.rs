//! Extra resistance between array and controller: a connector, a fuse holder, a corroded joint.
//!
//! The voltage at the controller falls with the current and the array's best point moves with it; open-circuit
//! voltage at rest stays as it is. Never explains: a low voltage at no current, anything below the controller.

use wellwright_domain::cause::Cause;

use wellwright_domain::situation::{Noticed, Touched};
use wellwright_physics::plant::ArrayCondition;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct DcSideLoss;

impl CauseModel for DcSideLoss {
    fn cause(&self) -> Cause {
        Cause::DcSideLoss
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.0), (Touched::Controller, 1.6)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Hot, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        // on the share of the array's best voltage lost at its best current, 2 to 50 %
        let best = context.plant.array.curve(900.0, 45.0, &ArrayCondition::default()).best();
        let ohm_per_share = best.v / best.i.max(0.05);
        log_grid(0.02, 0.5, 11)
            .map(|share| (share * ohm_per_share).clamp(0.2, 10.0))
            .map(|ohm| Hypothesis::new(self.cause()).at(ohm).with(|c| c.array.dc_ohm = ohm))
            .collect()
    }
}
