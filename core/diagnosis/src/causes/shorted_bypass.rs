//! Bypass diodes conduct: whole substrings are missing, in every light.
//!
//! Open-circuit and best voltage fall by whole substrings. Never explains: less current, a change with the sun's
//! place in the sky.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct ShortedBypass;

/// Substrings missing over the whole array, and how often (engineering judgement: few more often than many).
const MISSING: [(f64, f64); 6] =
    [(1.0, 0.3), (2.0, 0.22), (3.0, 0.2), (5.0, 0.12), (7.0, 0.08), (10.0, 0.08)];

impl CauseModel for ShortedBypass {
    fn cause(&self) -> Cause {
        Cause::ShortedBypass
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let array = &context.plant.array;
        let all = array.substring_count();
        let mut out: Vec<Hypothesis> = MISSING
            .into_iter()
            .filter(|(n, _)| *n <= 0.7 * all)
            .map(|(n, weight)| {
                let new = Hypothesis::new(self.cause()).at(n);
                new.with(|c| c.array.missing_substrings = n).weighing(weight)
            })
            .collect();
        if out.is_empty() {
            out.push(Hypothesis::new(self.cause()).at(1.0).with(|c| c.array.missing_substrings = 1.0));
        }
        out
    }
}
