//! Dust or droppings over the whole array: less current at the same voltage.
//!
//! Never explains: a voltage other than the best point's, one string unlike the others.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct Soiling;

impl CauseModel for Soiling {
    fn cause(&self) -> Cause {
        Cause::Soiling
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 0.8)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        on_grid(self.cause(), log_grid(0.08, 0.5, 12), |c, x| c.array.current_ratio = 1.0 - x)
    }
}
