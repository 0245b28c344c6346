//! Something wrong with a plant, at random, within what the fields allow.

use wellwright_physics::hydraulics::WaterCondition;
use wellwright_physics::motor::LeadCondition;
use wellwright_physics::plant::{ArrayCondition, Condition, ControllerCondition, Shade};
use wellwright_physics::pump::{PumpCondition, Rotation};

use super::Dice;

/// Up to a few faults at once; half of all plants have none.
pub fn random_condition(d: &Dice) -> Condition {
    let mut c = Condition::default();
    if d.yes(0.5) {
        return c;
    }
    if d.yes(0.3) {
        c.pump = pump(d);
    }
    if d.yes(0.3) {
        c.lead = lead(d);
    }
    if d.yes(0.3) {
        c.water = water(d);
    }
    if d.yes(0.4) {
        c.array = array(d);
    }
    if d.yes(0.2) {
        c.controller = ControllerCondition {
            power_not_taken: d.between(0.0, 0.9),
            speed_share: d.between(0.3, 1.0),
            current_share: d.between(0.3, 1.0),
            power_share: d.between(0.3, 1.0),
        };
    }
    c
}

fn pump(d: &Dice) -> PumpCondition {
    PumpCondition {
        rotation: if d.yes(0.3) { Rotation::Reversed } else { Rotation::Forward },
        wear: if d.yes(0.3) { d.between(0.0, 0.6) } else { 0.0 },
        runs_back: if d.yes(0.5) { d.between(0.0, 1.0) } else { 0.0 },
        blockage: if d.yes(0.3) { d.between(0.0, 0.9) } else { 0.0 },
        gas: if d.yes(0.2) { d.between(0.0, 0.6) } else { 0.0 },
        size_ratio: d.between(0.6, 1.4),
        efficiency_ratio: d.between(0.7, 1.2),
        shutoff_ratio: d.between(0.8, 1.2),
        dry_torque_share: if d.yes(0.1) { Some(d.between(0.1, 3.0)) } else { None },
        uncoupled: d.yes(0.05),
    }
}

fn lead(d: &Dice) -> LeadCondition {
    LeadCondition {
        one_lead_ohm: if d.yes(0.5) { d.log(0.01, 20.0) } else { 0.0 },
        cable_ratio: d.log(0.5, 6.0),
        flux_lost: d.between(0.0, 0.5),
        shorted_turns: if d.yes(0.2) { d.between(0.0, 0.3) } else { 0.0 },
        drag: if d.yes(0.3) { d.between(0.0, 0.8) } else { 0.0 },
        leak_a: if d.yes(0.2) { d.log(0.001, 1.0) } else { 0.0 },
        ..LeadCondition::default()
    }
}

fn water(d: &Dice) -> WaterCondition {
    let closing = |d: &Dice| match d.below(4) {
        0 => f64::INFINITY,
        1 => d.log(0.01, 100.0),
        _ => 0.0,
    };
    WaterCondition {
        valve_m_per_m3h2: closing(d),
        blocked_m_per_m3h2: closing(d),
        riser_friction: d.log(0.5, 20.0),
        surface_friction: d.log(0.5, 20.0),
        riser_leak_m3_h: if d.yes(0.3) { d.log(0.01, 10.0) } else { 0.0 },
        surface_leak_m3_h: if d.yes(0.3) { d.log(0.01, 10.0) } else { 0.0 },
        static_deeper_m: if d.yes(0.3) { d.between(-3.0, 30.0) } else { 0.0 },
        drawdown_ratio: d.log(0.3, 10.0),
        yield_m3_h: if d.yes(0.2) { d.log(0.1, 10.0) } else { f64::INFINITY },
    }
}

fn array(d: &Dice) -> ArrayCondition {
    let shade = d.yes(0.4).then(|| Shade {
        share: d.between(0.0, 1.0),
        darkness: d.between(0.0, 1.0),
        gathered: d.yes(0.5),
        right_peak: d.yes(0.3),
    });
    let (current_ratio, open_strings) = (d.between(0.3, 1.1), d.below(3));
    let missing_substrings = if d.yes(0.3) { d.between(0.0, 4.0) } else { 0.0 };
    ArrayCondition {
        shade,
        current_ratio,
        open_strings,
        missing_substrings,
        // half of those in which any is missing
        missing_gathered: missing_substrings > 2.0,
        voltage_ratio: d.between(0.5, 1.3),
        dc_ohm: if d.yes(0.3) { d.log(0.01, 10.0) } else { 0.0 },
    }
}
