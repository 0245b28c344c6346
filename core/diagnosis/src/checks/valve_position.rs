//! A look at every valve between wellhead and tank.
//!
//! Parts a shut valve from all other ways to have no water. Error: a valve that is open outside may be shut
//! inside, one in twelve (engineering judgement); a half-shut one may be taken for the narrow pipe.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct ValvePosition;

impl CheckModel for ValvePosition {
    fn check(&self) -> Check {
        Check::ValvePosition
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let open = match p.cause() {
            Cause::ClosedValve => 0.08,
            Cause::NarrowedPipe => 0.92,
            _ => 0.97,
        };
        vec![Foreseen::yes(open)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "all_open")]
    }
}
