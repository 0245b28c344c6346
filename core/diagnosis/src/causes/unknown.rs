//! None of these. Whatever it is mostly touches one part, or comes and goes: there the predictions are spread widely,
//! and elsewhere all is as recorded.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, Loose, LooseLoad};
use crate::predict::Quantity;

/// See the module.
pub struct Unknown;

impl CauseModel for Unknown {
    fn cause(&self) -> Cause {
        Cause::Unknown
    }

    fn water(&self) -> Option<f64> {
        Some(0.5)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        use LooseLoad::{All, Moments, Nothing, Only};
        const TABLE: [(f64, LooseLoad, bool, bool); 9] = [
            (0.22, All, false, false),
            (0.16, Nothing, true, false),
            (0.12, All, true, false),
            (0.08, All, false, true),
            (0.14, Moments, false, false),
            (0.08, Only(Quantity::Flow), false, false),
            (0.08, Only(Quantity::Level), false, false),
            (0.08, Only(Quantity::PhaseCurrent), false, false),
            (0.04, Only(Quantity::Pressure), false, false),
        ];
        TABLE
            .into_iter()
            .map(|(weight, load, sun, unbalance)| {
                let mut h = Hypothesis::new(self.cause()).weighing(weight);
                h.loose = Loose { load, sun, unbalance };
                h
            })
            .collect()
    }
}
