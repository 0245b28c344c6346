//! The controller works off the array's best point.
//!
//! At less power than the array could give, at no limit and with a cool heat sink. Never explains: a voltage at the
//! best point, a speed at its limit.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hold, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct PowerTrackingStuck;

/// One that takes next to nothing calls it too little power so often, and stands (engineering judgement).
const STARVES: f64 = 0.2;

/// Power not taken.
const LOST: [f64; 5] = [0.12, 0.25, 0.4, 0.58, 0.75];

impl CauseModel for PowerTrackingStuck {
    fn cause(&self) -> Cause {
        Cause::PowerTrackingStuck
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Controller, 2.6)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        LOST.into_iter()
            .flat_map(|share| {
                // at one voltage, or wandering
                [(Hold::Voltage, 0.7), (Hold::Beside, 0.3)].map(|(hold, weight)| {
                    let new = Hypothesis::new(self.cause()).at(share).weighing(weight);
                    let does = outcome::with(&[(Outcome::LowPower, STARVES * share)], Outcome::Runs);
                    let mut h = new.with(|c| c.controller.power_not_taken = share).doing(does);
                    h.hold = Some(hold);
                    h
                })
            })
            .collect()
    }
}
