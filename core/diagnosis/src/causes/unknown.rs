//! None of these. The score spreads its predictions widely, see `score::unknown`.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

/// The plant is as recorded.
pub struct Unknown;

impl CauseModel for Unknown {
    fn cause(&self) -> Cause {
        Cause::Unknown
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        vec![Hypothesis::new(self.cause())]
    }
}
