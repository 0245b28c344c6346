//! A bearing or the stator rubs: extra torque at every speed.
//!
//! More current and power for the same water. Never explains: water, pressure or level other than the speed gives,
//! more voltage than the current asks. A rubbing motor runs hot, so that its magnets weaken a little.

use wellwright_domain::cause::Cause;

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
