//! Nothing arrives from the array: isolator, fuse or connector open, or the polarity is wrong.
//!
//! Voltage and current near zero in daylight, or no link at all. Never explains: a voltage.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct NoDcSupply;

impl CauseModel for NoDcSupply {
    fn cause(&self) -> Cause {
        Cause::NoDcSupply
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.0), (Touched::Controller, 1.6)]
    }

    fn water(&self) -> Option<f64> {
        Some(0.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let table = outcome::with(
            &[
                (Outcome::Silent, 0.3),
                (Outcome::CommsLost, 0.3),
                (Outcome::LowPower, 0.15),
                (Outcome::BadVoltage, 0.2),
            ],
            Outcome::Runs,
        );
        vec![Hypothesis::new(self.cause()).doing(table)]
    }
}
