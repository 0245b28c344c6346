//! The motor turns freely, the pump does not.
//!
//! Only the motor's own losses: far less current than even a dry pump. Never explains: water, pressure, torque.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct BrokenShaft;

impl CauseModel for BrokenShaft {
    fn cause(&self) -> Cause {
        Cause::BrokenShaft
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.3), (Touched::Well, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.15)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut h = Hypothesis::new(self.cause()).with(|c| c.pump.uncoupled = true);
        h.loose_electrical = 0.12;
        vec![h]
    }
}
