//! Extra resistance between array and controller: a connector, a fuse holder, a corroded joint.
//!
//! The voltage at the controller falls with the current and the array's best point moves with it; open-circuit
//! voltage at rest stays as it is. Never explains: a low voltage at no current, anything below the controller.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct DcSideLoss;

impl CauseModel for DcSideLoss {
    fn cause(&self) -> Cause {
        Cause::DcSideLoss
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(0.2, 10.0, 7)
            .map(|ohm| Hypothesis::new(self.cause()).at(ohm).with(|c| c.array.dc_ohm = ohm))
            .collect()
    }
}
