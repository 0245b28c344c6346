//! DC arrives but the controller gives no proper output.
//!
//! Voltage at the input, no speed, no current; flags empty or senseless, or no link. Never explains: a speed that
//! holds, a voltage near zero.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct ControllerFailed;

impl CauseModel for ControllerFailed {
    fn cause(&self) -> Cause {
        Cause::ControllerFailed
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Controller, 1.8)]
    }

    fn water(&self) -> Option<f64> {
        Some(0.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let table = outcome::with(
            &[
                (Outcome::Silent, 0.57),
                (Outcome::CommsLost, 0.22),
                (Outcome::TooHot, 0.03),
                (Outcome::Overload, 0.05),
                (Outcome::BadVoltage, 0.03),
                (Outcome::GroundFault, 0.02),
                (Outcome::PhaseLoss, 0.02),
                (Outcome::LowPower, 0.03),
            ],
            Outcome::Runs,
        );
        vec![Hypothesis::new(self.cause()).doing(table)]
    }
}
