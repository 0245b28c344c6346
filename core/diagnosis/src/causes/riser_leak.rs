//! Water escapes between pump and outlet.
//!
//! In the riser it falls back into the well: the pump works as ever, gauge and meter miss the share. At the surface
//! the meter sees it and the tank does not. Never explains: less power for the same speed.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct RiserLeak;

/// Escaping shares.
const SHARES: [f64; 6] = [0.1, 0.2, 0.35, 0.55, 0.75, 0.97];

impl CauseModel for RiserLeak {
    fn cause(&self) -> Cause {
        Cause::RiserLeak
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        SHARES
            .into_iter()
            .flat_map(|share| {
                let new = || Hypothesis::new(self.cause()).at(share);
                [
                    new().with(|c| c.water.riser_leak = share).weighing(0.7),
                    new().with(|c| c.water.surface_leak = share).weighing(0.3),
                ]
            })
            .collect()
    }
}
