//! The well draws down more for the same flow: screen or gravel are clogged.
//!
//! Deeper level the more it pumps, as recorded at rest. Never explains: a deeper resting level.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, covered, log_grid, on_grid};

/// See the module.
pub struct CloggedScreen;

impl CauseModel for CloggedScreen {
    fn cause(&self) -> Cause {
        Cause::CloggedScreen
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Well, 1.8), (Touched::Pump, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::MuddyWater, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let grid = on_grid(self.cause(), log_grid(2.0, 10.0, 6), |c, x| c.water.drawdown_ratio = x);
        covered(context, grid)
    }
}
