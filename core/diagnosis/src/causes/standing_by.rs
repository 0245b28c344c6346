//! Resting as meant: tank full, switched off, night. The plant is healthy; see `score::resting`.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

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
        // whichever of both there is; a window may hold the run before (engineering judgement)
        let rests = outcome::only(
            &[
                (Outcome::TankFull, 0.37),
                (Outcome::SwitchedOff, 0.37),
                (Outcome::Runs, 0.18),
                (Outcome::Silent, 0.044),
            ],
            0.004,
        );
        vec![Hypothesis::new(self.cause()).doing(rests)]
    }
}
