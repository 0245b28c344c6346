//! Too little sun to lift water. The plant is healthy; only the sky decides, see `score::resting`.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// The plant is as recorded.
pub struct LowSun;

impl CauseModel for LowSun {
    fn cause(&self) -> Cause {
        Cause::LowSun
    }

    fn water(&self) -> Option<f64> {
        Some(0.5)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        // little power at little speed can look like under-load (engineering judgement)
        let waits = outcome::only(
            &[
                (Outcome::LowPower, 0.35),
                (Outcome::BadVoltage, 0.05),
                (Outcome::Runs, 0.55),
                (Outcome::UnderLoad, 0.02),
            ],
            0.003,
        );
        vec![Hypothesis::new(self.cause()).doing(waits)]
    }
}
