//! Pipe scaled, kinked or too narrow: more friction than the record says.
//!
//! Head that grows with the square of the flow. Where it sits is latent: in the riser the gauge reads as ever, at
//! the surface it reads high. Never explains: little flow at high speed without pressure or power to show for it.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct NarrowedPipe;

impl CauseModel for NarrowedPipe {
    fn cause(&self) -> Cause {
        Cause::NarrowedPipe
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pipework, 2.4), (Touched::Pump, 1.3)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        // in the riser, at the surface, in both
        [(true, false), (false, true), (true, true)]
            .into_iter()
            .flat_map(|(riser, surface)| {
                on_grid(self.cause(), log_grid(1.5, 10.0, 6), |c, ratio| {
                    c.water.riser_friction = if riser { ratio } else { 1.0 };
                    c.water.surface_friction = if surface { ratio } else { 1.0 };
                })
            })
            .collect()
    }
}
