//! The dry-run input bridged for seconds, with water proved over the intake: does it start?
//!
//! It starts when the dry signal is what stops it. With water proved, the signal is then false. What stops it
//! elsewhere goes on stopping it. Error: a restart delay may still run, one in fifteen.

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, starts_when_bridged, yes_no};
use crate::window::Outcome;

/// See the module.
pub struct BridgeDryInput;

impl CheckModel for BridgeDryInput {
    fn check(&self) -> Check {
        Check::BridgeDryInput
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        vec![Foreseen::yes(starts_when_bridged(p, Outcome::Dry))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "starts")]
    }

    fn starts_pump(&self) -> bool {
        true
    }
}
