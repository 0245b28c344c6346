//! The resting level is deeper than in the record, but the intake is still covered.
//!
//! More head at every flow, at rest and running alike: less water, and a centrifugal pump takes less power for
//! it, a helical rotor more. Never explains: a resting level as recorded, a drawdown that grows with the flow.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, covered, log_grid, on_grid};

/// See the module.
pub struct StaticLevelDrop;

impl CauseModel for StaticLevelDrop {
    fn cause(&self) -> Cause {
        Cause::StaticLevelDrop
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Well, 1.8), (Touched::Pump, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::MuddyWater, 0.06)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        // beyond the intake it would run dry
        let room = (well.intake_m - well.static_m - 0.5).clamp(3.0, 40.0);
        let grid = log_grid(3.0, 40.0, 9).filter(|deeper| *deeper <= 3.0 || *deeper <= room);
        covered(context, on_grid(self.cause(), grid, |c, deeper| c.water.static_deeper_m = deeper))
    }
}
