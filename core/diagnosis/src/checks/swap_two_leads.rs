//! Two motor leads exchanged at the same sun: more water means that it had turned backwards.
//!
//! Nothing else in the catalogue gets better by it: a pump that turned the right way now turns the wrong way and
//! gives next to nothing; one that moved no water moves none. In weak sun neither way lifts any. Error: sun and level
//! change in 20 min, so a gain of less than a third says nothing.

use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::pump::Rotation;

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct SwapTwoLeads;

/// Flow at the tank with the pump turning the other way in the sun of the check, m3/h: middle, 1 sigma.
fn after_m3_h(p: &Prediction) -> (f64, f64) {
    let mut plant = p.plant.clone();
    let pump = &mut plant.condition.pump;
    pump.rotation = match pump.rotation {
        Rotation::Forward => Rotation::Reversed,
        Rotation::Reversed => Rotation::Forward,
    };
    let sun = p.sun();
    let flow = |by: f64| {
        let moment = p.moment(sun.w_m2 * (by * sun.spread).exp(), 10.0);
        plant.operating_point(&moment).load.map_or(0.0, |l| l.water.tank_m3_h)
    };
    let (low, high) = (flow(-1.0), flow(1.0));
    (0.5 * (low + high), 0.5 * (high - low))
}

impl CheckModel for SwapTwoLeads {
    fn check(&self) -> Check {
        Check::SwapTwoLeads
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let was_backwards = p.plant.condition.pump.rotation == Rotation::Reversed;
        let size = crate::predict::reference_flow(p.healthy);
        let (flow, spread) = after_m3_h(p);
        // put right it gives much more, unless the sun is too weak to lift any
        let lifts = ((flow + spread) / (0.3 * size)).min(1.0);
        let better = if was_backwards { 0.96 * lifts } else { 0.02 };
        let after = match (p.is_unknown(), was_backwards) {
            (true, _) => (0.2 * size, 0.3 * size),
            (false, true) => (flow, spread.hypot(0.2 * size)),
            // put wrong, next to nothing
            (false, false) => (flow.min(0.4 * size), 0.1 * size),
        };
        vec![Foreseen::yes(better), p.by_running(after, (0.0, 0.05 * size))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let grew = |before: &str, after: &str, least: f64| {
            let (b, a) = (made.number(before)?, made.number(after)?);
            Some(f64::from(u8::from(a > 1.3 * b + least)))
        };
        let better = grew("flow_before_m3_h", "flow_after_m3_h", 0.1);
        let better = better.or_else(|| grew("kpa_before", "kpa_after", 20.0));
        vec![better, made.number("flow_after_m3_h")]
    }

    fn starts_pump(&self) -> bool {
        true
    }
}
