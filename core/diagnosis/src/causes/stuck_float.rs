//! The tank-full signal is on, or its link is missing, although the tank is not full.
//!
//! Looks like a full tank until somebody looks into it. Never explains: a tank that is full.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct StuckFloat;

impl CauseModel for StuckFloat {
    fn cause(&self) -> Cause {
        Cause::StuckFloat
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Tank, 2.4), (Touched::Controller, 1.4)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        vec![Hypothesis::new(self.cause()).doing(outcome::with(&[(Outcome::TankFull, 0.94)], Outcome::Runs))]
    }
}
