//! Clearances are open: less head (centrifugal) or volume (helical rotor) at the same speed.
//!
//! What is lost is head that the impellers no longer give, or water that runs back through the clearances and still
//! takes its power; of which more, nobody can see. Never explains: pressure or power above healthy, a change from one
//! day to the next.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct WornPump;

/// Share that runs back, where it is mostly that (engineering judgement).
const RUNS_BACK: f64 = 0.8;

impl CauseModel for WornPump {
    fn cause(&self) -> Cause {
        Cause::WornPump
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.3), (Touched::Well, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.1), (Noticed::MuddyWater, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let worn = |back: f64, weight: f64| {
            on_grid(self.cause(), log_grid(0.08, 0.5, 6), |c, x| (c.pump.wear, c.pump.runs_back) = (x, back))
                .into_iter()
                .map(move |h| h.weighing(weight))
        };
        match context.plant.kind {
            PumpKind::Centrifugal => worn(0.0, 0.7).chain(worn(RUNS_BACK, 0.3)).collect(),
            PumpKind::HelicalRotor => worn(0.0, 1.0).collect(),
        }
    }
}
