//! Turns of one phase are shorted.
//!
//! The shorted loop brakes as it turns: more current, more with speed, and the phases no longer alike. Never
//! explains: water other than the speed gives.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct WindingFault;

impl CauseModel for WindingFault {
    fn cause(&self) -> Cause {
        Cause::WindingFault
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Motor, 1.8)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.12), (Noticed::Hot, 0.2)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut all = on_grid(self.cause(), log_grid(0.05, 0.5, 5), |c, x| c.lead.shorted_turns = x);
        for h in &mut all {
            let share = h.severity.unwrap_or_default();
            // fewer turns, less inductance and back-EMF: that phase takes more (engineering judgement)
            h.unbalance = Some([1.0 + 0.5 * share, 1.0 - 0.25 * share, 1.0 - 0.25 * share]);
            h.loose_electrical = 0.3 * share;
            // how hard the shorted loop brakes hangs on where in the slot it lies
            h.torque_sigma = 0.4 * share;
        }
        all
    }
}
