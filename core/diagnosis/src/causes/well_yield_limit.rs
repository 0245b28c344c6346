//! The well gives less than the pump takes.
//!
//! The level falls until the probe or the sudden loss of load ends the run, then comes back: it cycles. Without
//! protection it hunts with the level at the intake, and the flow is what the well gives. Never explains: a run
//! of hours at full flow, a level that stands far above the intake.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;

/// See the module.
pub struct WellYieldLimit;

/// Sustainable over taken flow.
const YIELD: [f64; 5] = [0.25, 0.4, 0.55, 0.7, 0.85];

impl CauseModel for WellYieldLimit {
    fn cause(&self) -> Cause {
        Cause::WellYieldLimit
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        let room = (well.intake_m - well.static_m).max(0.5);
        let cycles = outcome::of_short_well(context.system);
        YIELD
            .into_iter()
            .flat_map(|share| {
                let mut on_the_way = Hypothesis::new(self.cause())
                    .at(share)
                    .with(|c| c.water.static_deeper_m = 0.6 * room)
                    .doing(cycles)
                    .weighing(0.6);
                on_the_way.level_sigma_m = 0.25 * room;
                let mut hunting = Hypothesis::new(self.cause())
                    .at(share)
                    .with(|c| {
                        c.water.static_deeper_m = (room - 0.3).max(0.0);
                        c.water.drawdown_ratio = 0.02;
                        c.pump.blockage = 1.0 - share;
                    })
                    .doing(cycles)
                    .weighing(0.4);
                hunting.torque_sigma = 0.12;
                // it gulps air now and then
                hunting.torque_scatter = match context.plant.kind {
                    PumpKind::Centrifugal => 0.08,
                    PumpKind::HelicalRotor => 0.03,
                };
                [on_the_way, hunting]
            })
            .collect()
    }
}
