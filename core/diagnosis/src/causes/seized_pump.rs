//! The rotor is locked by sand or scale.
//!
//! Current at the limit, no rotation: the controller calls it a stall or an over-current. Never explains: an open
//! lead, water, a speed that holds.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct SeizedPump;

impl CauseModel for SeizedPump {
    fn cause(&self) -> Cause {
        Cause::SeizedPump
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.3), (Touched::Well, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.2), (Noticed::Hot, 0.12), (Noticed::MuddyWater, 0.2)]
    }

    fn water(&self) -> Option<f64> {
        Some(0.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        // a small drive may keep turning its field about a rotor that stands (engineering judgement)
        let table = outcome::with(&[(Outcome::Overload, 0.9), (Outcome::LowPower, 0.04)], Outcome::Runs);
        let mut h = Hypothesis::new(self.cause()).with(|c| c.pump.uncoupled = true).doing(table);
        h.loose_electrical = 0.8;
        vec![h]
    }
}
