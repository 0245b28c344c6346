//! A lead is open: one of the three carries nothing.
//!
//! There is no rotating field: it hums or cogs and most controllers trip. Where one goes on, two currents are
//! equal, the third is zero and no water comes. Never explains: three equal currents, water at the outlet.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;
use crate::window::Outcome;

/// See the module.
pub struct OpenPhase;

impl CauseModel for OpenPhase {
    fn cause(&self) -> Cause {
        Cause::OpenPhase
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[
            (Touched::Joint, 2.2),
            (Touched::Cable, 1.6),
            (Touched::Motor, 1.6),
            (Touched::Pump, 1.4),
            (Touched::Controller, 1.4),
        ]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.3)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut h = Hypothesis::new(self.cause()).with(|c| c.pump.uncoupled = true);
        // most controllers tell a lost phase, some only an overload, few run on (engineering judgement)
        let mut table = outcome::table(0.14, 0.0, 0.04);
        let told = 0.75 * table[Outcome::Runs as usize];
        table[Outcome::Runs as usize] -= told;
        table[Outcome::PhaseLoss as usize] += told;
        h.outcome = Some(table);
        h.loose_electrical = 0.8;
        h.unbalance = Some([0.0, 1.5, 1.5]);
        vec![h]
    }
}
