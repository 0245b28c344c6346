//! A look at every valve between wellhead and tank.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct ValvePosition;

impl CheckModel for ValvePosition {
    fn check(&self) -> Check {
        Check::ValvePosition
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let open = match p.cause() {
            Cause::ClosedValve => 0.08,
            _ => 0.96,
        };
        vec![Foreseen::yes(open)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.yes("all_open").map(|b| f64::from(u8::from(b)))]
    }
}
