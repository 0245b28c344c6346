//! A lead or winding leaks to ground.
//!
//! A controller that watches for it trips below some tens of kiloohm; above that nothing shows but on the
//! insulation tester. Never explains: less water while it runs, unequal currents.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid};
use crate::likelihood::logistic;
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct InsulationFault;

/// Controllers that watch for leakage trip at about so many kiloohm, within a factor (engineering judgement; the
/// contract says that above some 60 kohm only the tester shows it).
const TRIPS_AT_KOHM: f64 = 38.0;
const TRIP_SPREAD_LN: f64 = 0.22;
/// Share of controllers that watch for it at all (engineering judgement).
const WATCHED: f64 = 0.85;

/// So often a controller that stops for it says too much current (engineering judgement).
const AS_OVERLOAD: f64 = 0.06;

impl CauseModel for InsulationFault {
    fn cause(&self) -> Cause {
        Cause::InsulationFault
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Joint, 2.2), (Touched::Cable, 2.0), (Touched::Motor, 1.4), (Touched::Pump, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::WetGround, 0.05)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(1.0, 500.0, 9)
            .map(|kohm| {
                let trips = WATCHED * logistic((TRIPS_AT_KOHM / kohm).ln() / TRIP_SPREAD_LN);
                let told = [
                    (Outcome::GroundFault, (1.0 - AS_OVERLOAD) * trips),
                    (Outcome::Overload, AS_OVERLOAD * trips),
                ];
                let table = outcome::with(&told, Outcome::Runs);
                Hypothesis::new(self.cause()).at(kohm).doing(table)
            })
            .collect()
    }
}
