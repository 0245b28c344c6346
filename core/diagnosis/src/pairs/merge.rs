//! Two hypotheses as one: each changes what the other leaves alone.

use wellwright_physics::hydraulics::WaterCondition;
use wellwright_physics::motor::LeadCondition;
use wellwright_physics::plant::{ArrayCondition, Condition, ControllerCondition};
use wellwright_physics::pump::PumpCondition;

use crate::causes::{Hypothesis, Loose};
use crate::predict::sky::SkyShift;

/// The one of two values that is not the usual one; `None` when neither is.
fn either<T: PartialEq + Copy>(a: T, b: T, usual: T) -> Option<T> {
    if a == usual {
        Some(b)
    } else if b == usual {
        Some(a)
    } else {
        None
    }
}

/// Field by field: the compiler asks for a new one.
macro_rules! merged {
    ($kind:ident, $a:expr, $b:expr, $($field:ident),*) => {{
        let usual = $kind::default();
        $kind { $($field: either($a.$field, $b.$field, usual.$field)?,)* }
    }};
}

/// Both conditions at once; `None` when both change the same thing.
pub fn conditions(a: &Condition, b: &Condition) -> Option<Condition> {
    Some(Condition {
        pump: merged!(
            PumpCondition,
            a.pump,
            b.pump,
            rotation,
            wear,
            runs_back,
            blockage,
            gas,
            size_ratio,
            efficiency_ratio,
            shutoff_ratio,
            dry_torque_share,
            uncoupled
        ),
        lead: merged!(
            LeadCondition,
            a.lead,
            b.lead,
            one_lead_ohm,
            cable_ratio,
            flux_lost,
            shorted_turns,
            drag,
            tells_highest,
            leak_a,
            true_speed
        ),
        water: merged!(
            WaterCondition,
            a.water,
            b.water,
            valve_m_per_m3h2,
            blocked_m_per_m3h2,
            riser_friction,
            surface_friction,
            riser_leak_m3_h,
            surface_leak_m3_h,
            static_deeper_m,
            drawdown_ratio,
            yield_m3_h
        ),
        array: merged!(
            ArrayCondition,
            a.array,
            b.array,
            shade,
            current_ratio,
            open_strings,
            missing_substrings,
            missing_gathered,
            voltage_ratio,
            dc_ohm
        ),
        controller: merged!(
            ControllerCondition,
            a.controller,
            b.controller,
            power_not_taken,
            speed_share,
            current_share,
            power_share
        ),
    })
}

/// True when both change the same part of the plant, or tell otherwise of the same thing: then they are rivals.
pub fn same_part(a: &Hypothesis, b: &Hypothesis) -> bool {
    let usual = Condition::default();
    let (x, y) = (&a.condition, &b.condition);
    x.pump != usual.pump && y.pump != usual.pump
        || x.lead != usual.lead && y.lead != usual.lead
        || x.water != usual.water && y.water != usual.water
        || x.array != usual.array && y.array != usual.array
        || x.controller != usual.controller && y.controller != usual.controller
        || a.sensor.is_some() && b.sensor.is_some()
        || a.hold.is_some() && b.hold.is_some()
        || a.outcome.is_some() && b.outcome.is_some()
        || a.unbalance.is_some() && b.unbalance.is_some()
        || a.drains_in_min.is_some() && b.drains_in_min.is_some()
        || a.at_times.is_some() && b.at_times.is_some()
        || a.sky != SkyShift::default() && b.sky != SkyShift::default()
}

/// Both at once, under the name and severity of `a`; `None` when they are rivals.
pub fn hypotheses(a: &Hypothesis, b: &Hypothesis) -> Option<Hypothesis> {
    if same_part(a, b) {
        return None;
    }
    let at_end = |of: Option<Condition>, other: &Condition| of.and_then(|e| conditions(&e, other));
    Some(Hypothesis {
        cause: a.cause,
        severity: a.severity,
        of: a.of.or(b.of),
        weight: a.weight * b.weight,
        condition: conditions(&a.condition, &b.condition)?,
        outcome: a.outcome.or(b.outcome),
        loose_electrical: a.loose_electrical.hypot(b.loose_electrical),
        torque_sigma: a.torque_sigma.hypot(b.torque_sigma),
        torque_scatter: a.torque_scatter.hypot(b.torque_scatter),
        unbalance: a.unbalance.or(b.unbalance),
        sensor: a.sensor.or(b.sensor),
        sky: if a.sky == SkyShift::default() { b.sky } else { a.sky },
        level_sigma_m: a.level_sigma_m.hypot(b.level_sigma_m),
        drains_in_min: a.drains_in_min.or(b.drains_in_min),
        loose: if a.loose == Loose::default() { b.loose } else { a.loose },
        hold: a.hold.or(b.hold),
        edge: at_end(a.edge, &b.condition),
        second_edge: at_end(b.edge, &a.condition),
        at_times: at_end(a.at_times, &b.condition).or(at_end(b.at_times, &a.condition)),
    })
}

#[cfg(test)]
mod tests {
    use wellwright_domain::cause::Cause;

    use super::*;

    fn worn() -> Hypothesis {
        Hypothesis::new(Cause::WornPump).with(|c| c.pump.wear = 0.3).weighing(0.2)
    }

    fn joint() -> Hypothesis {
        Hypothesis::new(Cause::HighResistanceJoint).with(|c| c.lead.one_lead_ohm = 1.5).weighing(0.5)
    }

    #[test]
    fn each_brings_its_own() {
        let both = hypotheses(&worn(), &joint()).unwrap();
        assert_eq!((both.condition.pump.wear, both.condition.lead.one_lead_ohm), (0.3, 1.5));
        assert!((both.weight - 0.1).abs() < 1e-12);
        assert_eq!(both.condition.water, WaterCondition::default());
    }

    #[test]
    fn what_moves_the_same_part_is_a_rival() {
        let blocked = Hypothesis::new(Cause::BlockedIntake).with(|c| c.pump.blockage = 0.4);
        assert!(hypotheses(&worn(), &blocked).is_none());
        assert!(conditions(&worn().condition, &worn().with(|c| c.pump.wear = 0.4).condition).is_none());
    }

    #[test]
    fn the_edges_of_both_are_kept() {
        let mut a = worn();
        a.edge = Some(a.clone().with(|c| c.pump.wear = 0.35).condition);
        let both = hypotheses(&a, &joint()).unwrap();
        let edge = both.edge.unwrap();
        assert_eq!((edge.pump.wear, edge.lead.one_lead_ohm), (0.35, 1.5));
        assert!(both.second_edge.is_none());
    }
}
