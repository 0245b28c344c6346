//! Drop cable too thin: all three leads lose more than the record says.
//!
//! More power and voltage for the same speed, currents equal. Never explains: unequal currents, water other
//! than the speed gives.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct UndersizedDropCable;

impl CauseModel for UndersizedDropCable {
    fn cause(&self) -> Cause {
        Cause::UndersizedDropCable
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        // another cable is almost the only way to a thinner one
        &[(Touched::Cable, 3.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Hot, 0.1)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let range = self.cause().info().severity.as_ref().map_or((1.3, 5.0), |s| (s.low, s.high));
        on_grid(self.cause(), log_grid(range.0, range.1, 8), |c, ratio| c.lead.cable_ratio = ratio)
    }
}
