//! A bearing or the stator rubs: extra torque at every speed.
//!
//! More current and power for the same water. Never explains: water, pressure or level other than the speed gives,
//! more voltage than the current asks. A rubbing motor runs hot, so that its magnets weaken a little.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid, on_grid};

/// See the module.
pub struct MechanicalDrag;

/// What rubs heats the motor, and hot magnets are weaker by a tenth of a per cent for each kelvin: flux lost where the
/// extra torque is as large as the rated one, give or take as much (engineering judgement: 100 K hotter then).
const HOT: f64 = 0.1;

impl CauseModel for MechanicalDrag {
    fn cause(&self) -> Cause {
        Cause::MechanicalDrag
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 1.8), (Touched::Motor, 1.8)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.4), (Noticed::Hot, 0.12), (Noticed::MuddyWater, 0.08)]
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        let mut all = on_grid(self.cause(), log_grid(0.15, 0.8, 6), |c, x| {
            c.lead.drag = x;
            c.lead.flux_lost = HOT * x;
        });
        for h in &mut all {
            h.loose_electrical = HOT * h.severity.unwrap_or_default();
        }
        all
    }
}
