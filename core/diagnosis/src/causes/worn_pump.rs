//! Clearances are open: less head (centrifugal) or volume (helical rotor) at the same speed.
//!
//! Never explains: pressure or power above healthy, a change from one day to the next.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct WornPump;

impl CauseModel for WornPump {
    fn cause(&self) -> Cause {
        Cause::WornPump
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.3), (Touched::Well, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.1), (Noticed::MuddyWater, 0.15)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        on_grid(self.cause(), log_grid(0.08, 0.5, 6), |c, x| c.pump.wear = x)
    }
}
