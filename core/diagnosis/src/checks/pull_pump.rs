//! The pump lifted and inspected: what was found decides, for everything that can be seen on the ground.
//!
//! A cause that sits in the pump (`pump_out` yes in the table) is found, nine times in ten under its own name;
//! one that may sit below or above (maybe) two times in three; what sits elsewhere leaves the pump looking
//! healthy, but for crossed leads, which show at the joint.

use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::{Answer, Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct PullPump;

/// The feature: place of the found cause in the table of causes, so far from the next that neighbours have nothing in
/// common.
fn place(cause: Cause) -> f64 {
    APART * cause as usize as f64
}

const APART: f64 = 100.0;

/// Spread about a place.
const SAME: f64 = 0.15;

/// Found under any other name, all alike: middle and spread over the table.
const MISNAMED: (f64, f64) = (22.0 * APART, 15.0 * APART);

impl CheckModel for PullPump {
    fn check(&self) -> Check {
        Check::PullPump
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let found = |share: f64, as_what: Cause, else_what: (f64, f64)| {
            vec![Foreseen::either(share, (place(as_what), SAME), else_what)]
        };
        let sound = (place(Cause::Healthy), SAME);
        match (p.cause(), p.cause().info().pump_out) {
            (Cause::Unknown, _) => found(0.5, Cause::Unknown, MISNAMED),
            (cause @ Cause::ReversedRotation, _) => found(0.8, cause, sound),
            (cause, PumpOut::Yes) => found(0.9, cause, MISNAMED),
            (cause, PumpOut::Maybe) => found(0.67, cause, sound),
            (_, PumpOut::No) => found(0.97, Cause::Healthy, MISNAMED),
        }
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        match made.answers.get("finding") {
            Some(Answer::Cause(c)) => vec![Some(place(*c))],
            _ => vec![None],
        }
    }
}
