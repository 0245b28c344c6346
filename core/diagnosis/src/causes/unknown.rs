//! None of these. Whatever it is mostly touches one part, or comes and goes: there the predictions are spread widely,
//! and elsewhere all is as recorded.

use wellwright_domain::cause::Cause;

use wellwright_physics::plant::Condition;

use super::closed_valve::throttle;
use super::{CauseModel, Context, Hypothesis, Loose, LooseLoad};
use crate::predict::Quantity;

/// See the module.
pub struct Unknown;

impl CauseModel for Unknown {
    fn cause(&self) -> Cause {
        Cause::Unknown
    }

    fn water(&self) -> Option<f64> {
        Some(0.5)
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        use LooseLoad::{All, Moments, Nothing, Only};
        const TABLE: [(f64, LooseLoad, bool, bool); 9] = [
            (0.22, All, false, false),
            (0.16, Nothing, true, false),
            (0.12, All, true, false),
            (0.08, All, false, true),
            (0.06, Moments, false, false),
            (0.08, Only(Quantity::Flow), false, false),
            (0.08, Only(Quantity::Level), false, false),
            (0.08, Only(Quantity::PhaseCurrent), false, false),
            (0.04, Only(Quantity::Pressure), false, false),
        ];
        let touched = TABLE.into_iter().map(|(weight, load, sun, unbalance)| {
            let mut h = Hypothesis::new(self.cause()).weighing(weight);
            h.loose = Loose { load, sun, unbalance };
            h
        });
        touched.chain(self.at_times(context)).collect()
    }
}

impl Unknown {
    /// One thing that is at each moment as strong as it likes, and all else follows from it as in a sound plant.
    fn at_times(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        let room = (well.intake_m - well.static_m).max(2.0);
        let [half, little] = [0.6, 0.25].map(|passing| throttle(context, passing));
        let between = |near: &dyn Fn(&mut Condition), far: &dyn Fn(&mut Condition)| {
            let mut h = Hypothesis::new(self.cause()).with(|c| near(c));
            h.at_times = Some(Hypothesis::new(self.cause()).with(|c| far(c)).condition);
            h
        };
        let above = between(&|c| c.water.valve_m_per_m3h2 = half, &|c| c.water.valve_m_per_m3h2 = little);
        let below = between(&|c| c.water.blocked_m_per_m3h2 = half, &|c| c.water.blocked_m_per_m3h2 = little);
        let level =
            between(&|c| c.water.static_deeper_m = 0.35 * room, &|c| c.water.static_deeper_m = 0.7 * room);
        let flow = context.reference_flow_m3_h;
        let leak =
            between(&|c| c.water.surface_leak_m3_h = 0.3 * flow, &|c| c.water.surface_leak_m3_h = 0.6 * flow);
        [above, below, level, leak].map(|h| h.weighing(0.08)).to_vec()
    }
}
