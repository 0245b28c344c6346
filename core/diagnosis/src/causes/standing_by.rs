//! Resting as meant: tank full, switched off, night. The plant is healthy; see `score::resting`.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

/// The plant is as recorded.
pub struct StandingBy;

impl CauseModel for StandingBy {
    fn cause(&self) -> Cause {
        Cause::StandingBy
    }

    fn water(&self) -> Option<f64> {
        Some(0.5)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        vec![Hypothesis::new(self.cause())]
    }
}
