//! The controller's clock against a watch, hours ahead.
//!
//! Parts a wrong clock from a wrong direction of the array, which mirror each other, and settles both. Error:
//! clocks that are meant to be right run off by a minute or two; a watch may stand in the wrong zone, hardly ever.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct ClockCompare;

impl CheckModel for ClockCompare {
    fn check(&self) -> Check {
        Check::ClockCompare
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        vec![match (p.cause(), p.hypothesis.sky.clock_h) {
            (Cause::Unknown, _) => Foreseen::number(0.0, 0.1),
            (_, 0.0) => Foreseen::number(0.0, 0.06),
            // offsets are tried on a grid
            (_, hours) => Foreseen::number(hours, 0.03 + 0.12 * hours.abs()),
        }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("offset_h")]
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("h", false))
    }
}
