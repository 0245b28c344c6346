//! As it should be: everything agrees with the record within ordinary tolerances.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

/// The plant is as recorded.
pub struct Healthy;

impl CauseModel for Healthy {
    fn cause(&self) -> Cause {
        Cause::Healthy
    }

    fn water(&self) -> Option<f64> {
        Some(1.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        vec![Hypothesis::new(self.cause())]
    }
}
