//! Too little sun to lift water. The plant is healthy; only the sky decides, see `score::resting`.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

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
        vec![Hypothesis::new(self.cause())]
    }
}
