//! Vents, filter, fan and shade of the controller looked at.
//!
//! Speaks for a controller that holds back because it is hot, and against it when it sits cool and free. Many
//! sit in the sun without harm. Shares are engineering judgement.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct ControllerTouch;

impl CheckModel for ControllerTouch {
    fn check(&self) -> Check {
        Check::ControllerTouch
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let (blocked, in_sun) = match p.cause() {
            Cause::ControllerOverheating => (0.55, 0.6),
            Cause::ControllerFailed => (0.15, 0.3),
            _ => (0.06, 0.2),
        };
        vec![Foreseen::yes(blocked), Foreseen::yes(in_sun)]
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        ["blocked", "in_sun"].get(feature).copied()
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "blocked"), yes_no(made, "in_sun")]
    }
}
