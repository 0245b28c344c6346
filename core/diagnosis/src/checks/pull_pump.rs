//! The pump lifted and inspected: what was found decides, for everything that can be seen on the ground.

use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::{Answer, Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct PullPump;

/// The feature: place of the found cause in the table of causes.
fn place(cause: Cause) -> f64 {
    cause as usize as f64
}

impl CheckModel for PullPump {
    fn check(&self) -> Check {
        Check::PullPump
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        // what cannot be seen on the ground leaves the pump looking healthy
        let found = match p.cause().info().pump_out {
            PumpOut::No if p.cause() != Cause::ReversedRotation => Cause::Healthy,
            _ => p.cause(),
        };
        vec![Foreseen::Number { mean: place(found), sigma: 0.15 }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        match made.answers.get("finding") {
            Some(Answer::Cause(c)) => vec![Some(place(*c))],
            _ => vec![None],
        }
    }
}
