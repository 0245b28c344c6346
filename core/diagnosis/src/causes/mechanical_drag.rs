//! A bearing or the stator rubs: extra torque at every speed.
//!
//! More current and power for the same water. Never explains: water, pressure or level other than the speed gives,
//! more voltage than the current asks.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct MechanicalDrag;

impl CauseModel for MechanicalDrag {
    fn cause(&self) -> Cause {
        Cause::MechanicalDrag
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(0.15, 0.8, 6)
            .map(|share| {
                let mut h = Hypothesis::new(self.cause()).at(share).with(|c| c.lead.drag = share);
                h.torque_scatter = 0.02;
                h
            })
            .collect()
    }
}
