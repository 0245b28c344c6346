//! The rotor has lost magnetisation: more current for the same torque, less voltage for the same speed.
//!
//! Never explains: water other than the speed gives, more voltage than healthy, unequal currents.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct WeakMagnets;

impl CauseModel for WeakMagnets {
    fn cause(&self) -> Cause {
        Cause::WeakMagnets
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Motor, 1.8)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Hot, 0.1)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        on_grid(self.cause(), log_grid(0.05, 0.4, 6), |c, x| c.lead.flux_lost = x)
    }
}
