//! Water at the intake: the pump takes air.
//!
//! Torque falls to 0.1 to 0.3 of the best point's (centrifugal, common practice) or to friction alone, which
//! may fall or rise as the rubber warms (helical rotor). With a probe, or while the level is just reaching the
//! intake, it lifts for a while and stops. Never explains: full flow, a level well above the
//! intake, pressure above the static column.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::{Noticed, Touched};
use wellwright_physics::plant::Condition;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::outcome;

/// See the module.
pub struct DryRunning;

/// Share of the flow that comes in: with more, the well is said to give too little.
const DRIBBLES: [f64; 3] = [0.04, 0.1, 0.17];

impl CauseModel for DryRunning {
    fn cause(&self) -> Cause {
        Cause::DryRunning
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Well, 1.5), (Touched::Pump, 1.5)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.2), (Noticed::MuddyWater, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        let deeper = (well.intake_m - well.static_m).max(0.0);
        let shares: &[f64] = match context.plant.kind {
            PumpKind::Centrifugal => &[0.1, 0.2, 0.35],
            PumpKind::HelicalRotor => &[0.6, 1.0, 1.6],
        };
        // quietly, or with slugs of water that come and go
        let air = shares.iter().flat_map(|share| [(0.0, 0.65), (0.2, 0.35)].map(|how| (*share, how)));
        let air = air.map(|(share, (scatter, weight))| {
            let mut h = Hypothesis::new(self.cause()).with(|c| {
                c.pump.dry_torque_share = Some(share);
                c.water.static_deeper_m = deeper;
            });
            h.torque_sigma = 0.25;
            h.torque_scatter = scatter;
            h.weight = weight;
            h
        });
        let with_water = |what: &dyn Fn(&mut Condition), torque: (f64, f64), weight: f64| {
            let mut h = Hypothesis::new(self.cause()).with(|c| {
                c.water.static_deeper_m = (deeper - 0.5).max(0.0);
                c.water.drawdown_ratio = 0.02;
                what(c);
            });
            (h.torque_sigma, h.torque_scatter) = torque;
            h.doing(outcome::of_dry_well(context.system)).weighing(weight)
        };
        // until the level is quite down it still lifts, all or half of its flow, from the intake's depth
        let still_lifting = [0.0, 0.45].map(|lost| with_water(&|c| c.pump.blockage = lost, (0.1, 0.0), 0.35));
        // or what little comes in goes up between the air
        let full = context.reference_flow_m3_h;
        let torque = match context.plant.kind {
            PumpKind::Centrifugal => (0.15, 0.05),
            // how much of the rotor still builds pressure hangs on how air and water lie in it
            PumpKind::HelicalRotor => (0.35, 0.02),
        };
        let dribbling = DRIBBLES.map(|share| with_water(&|c| c.water.yield_m3_h = share * full, torque, 0.3));
        air.chain(still_lifting).chain(dribbling).collect()
    }
}
