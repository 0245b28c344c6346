//! Turns of one phase are shorted.
//!
//! The shorted loop brakes as it turns: more current, more with speed, and the phases no longer alike. Never
//! explains: water other than the speed gives.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct WindingFault;

impl CauseModel for WindingFault {
    fn cause(&self) -> Cause {
        Cause::WindingFault
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(0.05, 0.5, 5)
            .map(|share| {
                let mut h = Hypothesis::new(self.cause()).at(share).with(|c| c.lead.shorted_turns = share);
                // fewer turns, less inductance and back-EMF: that phase takes more (engineering judgement)
                h.unbalance = Some([1.0 + 0.5 * share, 1.0 - 0.25 * share, 1.0 - 0.25 * share]);
                h.loose_electrical = 0.3 * share;
                h
            })
            .collect()
    }
}
