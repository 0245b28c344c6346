//! One or more, but not all, parallel strings carry nothing.
//!
//! The current falls by whole strings, the voltage stays. Never explains: other shares than whole strings, a lower
//! open-circuit voltage.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct OpenString;

impl CauseModel for OpenString {
    fn cause(&self) -> Cause {
        Cause::OpenString
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let most = context.plant.array.strings.saturating_sub(1).clamp(1, 10);
        (1..=most)
            .map(|n| {
                let new = Hypothesis::new(self.cause()).at(f64::from(n));
                // one is open far more often than two
                new.with(|c| c.array.open_strings = n).weighing(1.0 / f64::from(n * n))
            })
            .collect()
    }
}
