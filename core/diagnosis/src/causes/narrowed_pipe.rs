//! Pipe scaled, kinked or too narrow: more friction than the record says.
//!
//! Head that grows with the square of the flow. Where it sits is latent: in the riser the gauge reads as ever, at
//! the surface it reads high. Never explains: little flow at high speed without pressure or power to show for it.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct NarrowedPipe;

impl CauseModel for NarrowedPipe {
    fn cause(&self) -> Cause {
        Cause::NarrowedPipe
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(1.5, 10.0, 6)
            .flat_map(|ratio| {
                [(ratio, 1.0), (1.0, ratio), (ratio, ratio)].map(|(riser, surface)| {
                    Hypothesis::new(self.cause()).at(ratio).with(|c| {
                        c.water.riser_friction = riser;
                        c.water.surface_friction = surface;
                    })
                })
            })
            .collect()
    }
}
