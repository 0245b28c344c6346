//! The well gives less than the pump takes.
//!
//! The level falls until the probe or the sudden loss of load ends the run, then comes back: it cycles. Without
//! protection it hunts with the level at the intake, and the flow is what the well gives. Never explains: a run
//! of hours at full flow, a level that stands far above the intake.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, on_grid};
use crate::predict::outcome;

/// See the module.
pub struct WellYieldLimit;

/// Sustainable over taken flow.
const YIELD: [f64; 7] = [0.22, 0.28, 0.36, 0.46, 0.58, 0.72, 0.86];

impl CauseModel for WellYieldLimit {
    fn cause(&self) -> Cause {
        Cause::WellYieldLimit
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Well, 1.8), (Touched::Pump, 1.2)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::MuddyWater, 0.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        let room = (well.intake_m - well.static_m).max(0.5);
        let cycles = outcome::of_short_well(context.system);
        let full = context.reference_flow_m3_h;
        let mut out = Vec::new();
        // the level falls until the pump takes no more than comes
        for mut h in on_grid(self.cause(), YIELD, |c, share| c.water.yield_m3_h = share * full) {
            h.torque_sigma = 0.12;
            // near the intake it gulps air now and then
            h.torque_scatter = match context.plant.kind {
                PumpKind::Centrifugal => 0.04,
                PumpKind::HelicalRotor => 0.02,
            };
            out.push(h.doing(cycles).weighing(0.8));
        }
        for share in YIELD {
            // on the way down it still gives all
            let mut h = Hypothesis::new(self.cause())
                .at(share)
                .with(|c| c.water.static_deeper_m = 0.4 * room)
                .doing(cycles)
                .weighing(0.2);
            h.level_sigma_m = 0.2 * room;
            out.push(h);
        }
        out
    }
}
