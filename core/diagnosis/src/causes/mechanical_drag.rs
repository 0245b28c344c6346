//! A bearing or the stator rubs: extra torque at every speed.
//!
//! More current and power for the same water. Never explains: water, pressure or level other than the speed gives,
//! more voltage than the current asks.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct MechanicalDrag;

impl CauseModel for MechanicalDrag {
    fn cause(&self) -> Cause {
        Cause::MechanicalDrag
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        on_grid(self.cause(), log_grid(0.15, 0.8, 6), |c, x| c.lead.drag = x)
    }
}
