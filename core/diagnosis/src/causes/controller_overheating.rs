//! The controller holds back because it is hot.
//!
//! Off the array's best point while the heat sink is above the temperature at which it derates. Never explains: a
//! cool heat sink, power lost early in a cool morning.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hold, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct ControllerOverheating;

/// Power held back.
const HELD: [f64; 5] = [0.12, 0.25, 0.42, 0.6, 0.82];

impl CauseModel for ControllerOverheating {
    fn cause(&self) -> Cause {
        Cause::ControllerOverheating
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Controller, 1.8)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Hot, 0.5)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        HELD.into_iter()
            .map(|share| {
                let trips = 0.1 + 0.4 * share;
                let mut h = Hypothesis::new(self.cause())
                    .at(share)
                    .with(|c| c.controller.power_not_taken = share)
                    .doing(outcome::with(&[(Outcome::TooHot, trips)], Outcome::Runs));
                h.hold = Some(Hold::Heat);
                h
            })
            .collect()
    }
}
