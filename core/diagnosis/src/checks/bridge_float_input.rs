//! The tank-full input bridged: does it start?
//!
//! It starts when the float's signal is what stops it, true or false; only a look into the tank tells which.
//! What stops it elsewhere goes on stopping it.

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, starts_when_bridged, yes_no};
use crate::window::Outcome;

/// See the module.
pub struct BridgeFloatInput;

impl CheckModel for BridgeFloatInput {
    fn check(&self) -> Check {
        Check::BridgeFloatInput
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        vec![Foreseen::yes(starts_when_bridged(p, Outcome::TankFull))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "starts")]
    }

    fn starts_pump(&self) -> bool {
        true
    }
}
