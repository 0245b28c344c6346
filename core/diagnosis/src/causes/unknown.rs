//! None of these. Whatever it is mostly touches one part: there the predictions are spread widely, and elsewhere all
//! is as recorded.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, Loose};

/// See the module.
pub struct Unknown;

impl CauseModel for Unknown {
    fn cause(&self) -> Cause {
        Cause::Unknown
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        [
            (0.4, Loose { load: true, sun: false, unbalance: false }),
            (0.25, Loose { load: false, sun: true, unbalance: false }),
            (0.2, Loose { load: true, sun: true, unbalance: false }),
            (0.15, Loose { load: true, sun: false, unbalance: true }),
        ]
        .into_iter()
        .map(|(weight, loose)| {
            let mut h = Hypothesis::new(self.cause()).weighing(weight);
            h.loose = loose;
            h
        })
        .collect()
    }
}
