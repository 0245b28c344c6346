//! None of these. Whatever it is mostly touches one part, or comes and goes: there the predictions are spread widely,
//! and elsewhere all is as recorded.
//!
//! What comes and goes may also be one thing, as strong at each moment as it likes, that all else follows from as in a
//! sound plant. Such a story is nearer to the causes of the catalogue than "anything may be read", so that one of them
//! leads only where its own strength fits all moments.

use wellwright_domain::cause::Cause;
use wellwright_physics::hydraulics::WaterCondition;
use wellwright_physics::plant::Condition;

use super::closed_valve::throttle;
use super::{CauseModel, Context, Hypothesis, Loose, LooseLoad};
use crate::predict::{Quantity, outcome};
use crate::window::Outcome;

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
        // as often as not it runs all the same
        let others = (Outcome::ALL.len() - 1) as f64;
        let anything = outcome::only(&[(Outcome::Runs, 0.5)], 0.5 / others);
        touched().into_iter().chain(at_times(context)).map(|h| h.doing(anything)).collect()
    }
}

/// Parts that it may touch, where anything may be read.
fn touched() -> Vec<Hypothesis> {
    use LooseLoad::{All, Moments, Nothing, Only};
    const TABLE: [(f64, LooseLoad, bool, bool); 10] = [
        (0.22, All, false, false),
        (0.16, Nothing, true, false),
        (0.12, All, true, false),
        (0.08, All, false, true),
        (0.06, Moments, false, false),
        (0.08, Only(Quantity::Flow), false, false),
        (0.08, Only(Quantity::Level), false, false),
        (0.04, Only(Quantity::PhaseCurrent), false, false),
        (0.04, Only(Quantity::PhaseCurrent), false, true),
        (0.04, Only(Quantity::Pressure), false, false),
    ];
    TABLE
        .into_iter()
        .map(|(weight, load, sun, unbalance)| {
            let mut h = Hypothesis::new(Cause::Unknown).weighing(weight);
            h.loose = Loose { load, sun, unbalance };
            h
        })
        .collect()
}

/// One thing that comes and goes: something in the way of the water after or before the gauge, the level, a draw on the
/// way to the tank.
fn at_times(context: &Context) -> Vec<Hypothesis> {
    let well = &context.plant.water.well;
    let room = (well.intake_m - well.static_m).max(2.0);
    let [some, little] = [0.45, 0.2].map(|passing| throttle(context, passing));
    let flow = context.reference_flow_m3_h;
    let sound = WaterCondition::default();
    let valve = |k: f64| WaterCondition { valve_m_per_m3h2: k, ..sound };
    let blocked = |k: f64| WaterCondition { blocked_m_per_m3h2: k, ..sound };
    [
        (0.05, valve(some)),
        (0.03, valve(little)),
        (0.05, blocked(some)),
        (0.03, blocked(little)),
        (0.08, WaterCondition { static_deeper_m: 0.7 * room, ..sound }),
        (0.08, WaterCondition { surface_leak_m3_h: 0.6 * flow, ..sound }),
    ]
    .map(|(weight, water)| {
        let mut h = Hypothesis::new(Cause::Unknown).weighing(weight);
        h.at_times = Some(Condition { water, ..Condition::default() });
        h
    })
    .to_vec()
}
