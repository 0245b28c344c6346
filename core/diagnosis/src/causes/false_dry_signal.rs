//! The dry signal is on, or its link is missing, although water stands over the intake.
//!
//! It never starts, or stops at once, with the level as recorded. Never explains: a level at the probe.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct FalseDrySignal;

impl CauseModel for FalseDrySignal {
    fn cause(&self) -> Cause {
        Cause::FalseDrySignal
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Probe, 2.8), (Touched::Controller, 1.4), (Touched::Pump, 1.3), (Touched::Well, 1.2)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        vec![Hypothesis::new(self.cause()).doing(outcome::with(&[(Outcome::Dry, 0.94)], Outcome::Runs))]
    }
}
