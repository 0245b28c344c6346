//! The pump end, its shaft and what comes in.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, falls_to};
use crate::plant::plant::{Plant, View};
use crate::plant::pump::Pump;

/// Clearances are open. Severity: head lost at the best flow (centrifugal), volume lost at rated speed and site head
/// (helical rotor).
pub const WORN_PUMP: Fault = Fault {
    cause: Cause::WornPump,
    damage: |d: &mut Damage| {
        let lost = d.dice.log_uniform(0.08, 0.5);
        let view = View { depth: None, empty: 0.0, wet: 1.0, winding_c: d.plant.water_c };
        let at_rated = d.plant.load(d.plant.motor.rated_rpm, &view).pump;
        match &mut d.plant.pump {
            Pump::Centrifugal(p) => {
                // More is lost at large flow than at none: the factor 1 - lost (m + (1 - m) q / q_best).
                let m = d.dice.uniform(0.55, 1.0);
                let slope = (1.0 - m) / p.q_best;
                let mut head = vec![0.0; p.head.len() + 1];
                for (k, c) in p.head.iter().enumerate() {
                    head[k] += c * (1.0 - lost * m);
                    head[k + 1] -= c * lost * slope;
                }
                p.head = head;
                let saved = 1.0 - d.dice.uniform(0.0, 0.35) * lost;
                p.power.iter_mut().for_each(|c| *c *= saved);
            }
            Pump::Helical(p) => {
                let share = (at_rated.head.max(1.0) / p.slip_head).powf(p.slip_exponent);
                p.slip += lost * at_rated.q / share;
                let looser = 1.0 - d.dice.uniform(0.0, 0.4) * lost;
                p.friction *= looser;
                p.break_away *= looser;
                d.unfit = at_rated.q <= 0.0;
            }
        }
        Some(lost)
    },
    noticed: &[(Noticed::LessWater, 0.6), (Noticed::MuddyWater, 0.15), (Noticed::Noise, 0.05)],
    touched: &[Touched::Pump],
    ..Fault::PLAIN
};

/// Strainer or impellers partly blocked. Severity: flow lost at 900 W/m2.
pub const BLOCKED_INTAKE: Fault = Fault {
    cause: Cause::BlockedIntake,
    damage: |d: &mut Damage| {
        let lost = d.dice.log_uniform(0.2, 0.9);
        let aim = (1.0 - lost) * d.flow_900;
        if d.system.pump.kind == PumpKind::Centrifugal && d.dice.chance(0.6) {
            d.plant.intake_k = falls_to(aim, (3.0, 11.9), |intake_k| {
                let plant = Plant { intake_k, ..d.plant.clone() };
                plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.out)
            });
        } else {
            d.plant.intake_most = Some(aim);
        }
        Some(lost)
    },
    noticed: &[
        (Noticed::LessWater, 0.6),
        (Noticed::NoWater, 0.1),
        (Noticed::Noise, 0.15),
        (Noticed::MuddyWater, 0.2),
    ],
    touched: &[Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};

/// Sand or scale locks the rotor.
pub const SEIZED_PUMP: Fault = Fault {
    cause: Cause::SeizedPump,
    damage: |d: &mut Damage| {
        d.plant.locked = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.9), (Noticed::StopsAndStarts, 0.3), (Noticed::Noise, 0.3)],
    touched: &[Touched::Pump, Touched::Well, Touched::Motor],
    ..Fault::PLAIN
};

/// The motor turns, the pump does not.
pub const BROKEN_SHAFT: Fault = Fault {
    cause: Cause::BrokenShaft,
    damage: |d: &mut Damage| {
        d.plant.broken_shaft = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.92), (Noticed::StopsAndStarts, 0.15), (Noticed::Noise, 0.15)],
    touched: &[Touched::Pump, Touched::Motor],
    ..Fault::PLAIN
};

/// A bearing or the stator rubs. Severity: extra torque over rated torque.
pub const MECHANICAL_DRAG: Fault = Fault {
    cause: Cause::MechanicalDrag,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.15, 0.8);
        d.plant.motor.drag = share * d.plant.motor.rated_torque();
        Some(share)
    },
    noticed: &[
        (Noticed::LessWater, 0.5),
        (Noticed::Noise, 0.35),
        (Noticed::Hot, 0.2),
        (Noticed::StopsAndStarts, 0.2),
        (Noticed::MuddyWater, 0.15),
    ],
    touched: &[Touched::Pump, Touched::Motor],
    ..Fault::PLAIN
};

/// Gas comes in with the water. Severity: flow lost at 900 W/m2.
pub const GAS_IN_WATER: Fault = Fault {
    cause: Cause::GasInWater,
    damage: |d: &mut Damage| {
        let lost = d.dice.log_uniform(0.1, 0.7);
        d.plant.gas = falls_to((1.0 - lost) * d.flow_900, (-2.5, -0.03), |gas| {
            let plant = Plant { gas, ..d.plant.clone() };
            plant.settled_flow(900.0, 25.0)
        });
        Some(lost)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Noise, 0.3), (Noticed::StopsAndStarts, 0.15)],
    touched: &[Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};
