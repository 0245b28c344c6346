//! Well, valves and pipe.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, falls_to};
use crate::plant::path::Leak;
use crate::plant::pipe::{EXPONENT, GRAVITY};
use crate::plant::plant::{Plant, SHUT};

/// The level is at the intake: fallen at rest, or the well gives next to nothing.
pub const DRY_RUNNING: Fault = Fault {
    cause: Cause::DryRunning,
    damage: |d: &mut Damage| {
        let well = &mut d.plant.well;
        if d.dice.chance(0.4) {
            well.rest = well.intake + d.dice.uniform(-0.05, 3.0);
        } else {
            let room = d.dice.uniform(0.4, 3.5);
            well.rest = well.intake - room;
            let gives = d.dice.uniform(0.005, 0.12) * d.flow_900;
            well.b = room / gives;
            well.c = 0.0;
            well.most = gives;
        }
        None
    },
    noticed: &[
        (Noticed::NoWater, 0.75),
        (Noticed::StopsAndStarts, 0.4),
        (Noticed::Noise, 0.2),
        (Noticed::MuddyWater, 0.15),
    ],
    touched: &[Touched::Well, Touched::Pump, Touched::Pipework],
    ..Fault::PLAIN
};

/// A valve after gauge and meter is shut or nearly shut. Severity: flow that passes at 900 W/m2 over
/// healthy flow.
pub const CLOSED_VALVE: Fault = Fault {
    cause: Cause::ClosedValve,
    damage: |d: &mut Damage| {
        let share = if d.dice.chance(0.4) { 0.0 } else { d.dice.uniform(0.0, 0.3) };
        if share < 0.01 {
            d.plant.valve = SHUT;
            return Some(0.0);
        }
        d.plant.valve = valve_that_passes(d, share);
        Some(share)
    },
    noticed: &[(Noticed::NoWater, 0.55), (Noticed::LessWater, 0.35), (Noticed::Noise, 0.1)],
    touched: &[Touched::Pipework, Touched::Tank, Touched::Pump],
    ..Fault::PLAIN
};

/// Valve coefficient at which `share` of the healthy flow passes at 900 W/m2. A pump that then turns
/// below its lowest speed stalls in the field; the coefficient still is the one of that share.
fn valve_that_passes(d: &mut Damage, share: f64) -> f64 {
    falls_to(share * d.flow_900, (4.0, 11.9), |valve| {
        let plant = Plant { valve, ..d.plant.clone() };
        plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.out)
    })
}

/// The same before gauge and meter: check valve stuck, riser crushed.
pub const BLOCKED_RISER: Fault = Fault {
    cause: Cause::BlockedRiser,
    damage: |d: &mut Damage| {
        let share = if d.dice.chance(0.4) { 0.0 } else { d.dice.uniform(0.0, 0.3) };
        if share < 0.01 {
            d.plant.block = SHUT;
            return Some(0.0);
        }
        // Friction is the same wherever the resistance sits.
        d.plant.block = valve_that_passes(d, share);
        Some(share)
    },
    noticed: &[(Noticed::NoWater, 0.6), (Noticed::LessWater, 0.3), (Noticed::Noise, 0.1)],
    touched: &[Touched::Pump, Touched::Pipework],
    ..Fault::PLAIN
};

/// Depth at which something stops the pump, m: probe or intake.
fn deepest(plant: &Plant) -> f64 {
    plant.probe.unwrap_or(plant.well.intake).min(plant.well.intake)
}

/// The level after two hours at good sun stays over probe and intake.
fn covered(plant: &Plant) -> bool {
    let q = plant.settled_flow(950.0, 25.0);
    plant.well.rest + plant.well.settled(q) < deepest(plant) - 0.4
}

/// The well gives less than the pump takes. Severity: what it gives over what the pump takes at 900 W/m2.
pub const WELL_YIELD_LIMIT: Fault = Fault {
    cause: Cause::WellYieldLimit,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.2, 0.9);
        d.plant.well.most = share * d.flow_900;
        Some(share)
    },
    noticed: &[
        (Noticed::StopsAndStarts, 0.6),
        (Noticed::LessWater, 0.45),
        (Noticed::MuddyWater, 0.15),
        (Noticed::Noise, 0.1),
    ],
    touched: &[Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};

/// The resting level is deeper than in the record, yet covers the pump. Severity: m.
pub const STATIC_LEVEL_DROP: Fault = Fault {
    cause: Cause::StaticLevelDrop,
    damage: |d: &mut Damage| {
        for _ in 0..12 {
            let metres = d.dice.log_uniform(3.0, 40.0);
            let mut plant = d.plant.clone();
            plant.well.rest += metres;
            if plant.well.rest < deepest(&plant) - 1.0 && covered(&plant) {
                *d.plant = plant;
                return Some(metres);
            }
        }
        d.unfit = true;
        None
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::NoWater, 0.1)],
    touched: &[Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};

/// The well draws down more for the same flow. Severity: drawdown ratio at the flow at 900 W/m2; the more part acts
/// at once and mostly with the square of the flow, not in the growing cone.
pub const CLOGGED_SCREEN: Fault = Fault {
    cause: Cause::CloggedScreen,
    damage: |d: &mut Damage| {
        for _ in 0..12 {
            let ratio = d.dice.log_uniform(2.0, 10.0);
            let square = d.dice.uniform(0.5, 1.0);
            let mut plant = d.plant.clone();
            let extra = (ratio - 1.0) * plant.well.settled(d.flow_900);
            let b = plant.well.b + (1.0 - square) * extra / d.flow_900;
            plant.well.decade *= plant.well.b / b;
            plant.well.b = b;
            plant.well.c += square * extra / d.flow_900.powi(2);
            if covered(&plant) {
                *d.plant = plant;
                return Some(ratio);
            }
        }
        d.unfit = true;
        None
    },
    noticed: &[(Noticed::LessWater, 0.45), (Noticed::StopsAndStarts, 0.15), (Noticed::MuddyWater, 0.1)],
    touched: &[Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};

/// Riser, surface pipe or both lose more. Severity: friction of pipe and fittings over what it was, at the flow at
/// 900 W/m2.
pub const NARROWED_PIPE: Fault = Fault {
    cause: Cause::NarrowedPipe,
    damage: |d: &mut Damage| {
        let ratio = d.dice.log_uniform(1.5, 10.0);
        let q = d.flow_900;
        let (riser, surface) = (d.plant.riser.loss(q), d.plant.surface.loss(q));
        let extra = (ratio - 1.0) * (riser + surface);
        let to_riser = match d.dice.weighted(&[0.4, 0.35, 0.25]) {
            0 => 1.0,
            1 => 0.0,
            _ => riser / (riser + surface),
        };
        // Scale roughens all of it; a kink is one place.
        let kink = d.dice.chance(0.4);
        for (pipe, extra) in
            [(&mut d.plant.riser, to_riser * extra), (&mut d.plant.surface, (1.0 - to_riser) * extra)]
        {
            if kink {
                pipe.k += extra * 2.0 * GRAVITY * (pipe.area() / q).powi(2);
            } else {
                let friction = pipe.terms()[0] * q.powf(EXPONENT);
                pipe.c *= (1.0 + extra / friction).powf(-1.0 / EXPONENT);
            }
        }
        Some(ratio)
    },
    noticed: &[(Noticed::LessWater, 0.55), (Noticed::NoWater, 0.05)],
    touched: &[Touched::Pipework, Touched::Tank, Touched::Pump],
    ..Fault::PLAIN
};

/// Water escapes: through a hole in the riser back into the well, or after gauge and meter. Severity: share of the
/// pump's flow at 900 W/m2.
pub const RISER_LEAK: Fault = Fault {
    cause: Cause::RiserLeak,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.1, 1.0);
        let depth = if d.dice.chance(0.75) { d.dice.uniform(0.05, 0.97) * d.plant.riser.length } else { 0.0 };
        // A share of all: half as large again as it takes to lose everything.
        let (share, wider) = if share > 0.95 { (1.0, 1.5) } else { (share, 1.0) };
        let arrives = |size: f64| {
            let plant = Plant { leak: Some(Leak { depth, size }), ..d.plant.clone() };
            plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.arrives / h.load.pump.q.max(1e-9))
        };
        let size = falls_to((1.0 - share).max(0.005), (-7.0, 0.0), arrives) * wider;
        d.plant.leak = Some(Leak { depth, size });
        Some(share)
    },
    noticed: &[
        (Noticed::LessWater, 0.5),
        (Noticed::NoWater, 0.15),
        (Noticed::WaterLate, 0.35),
        (Noticed::WetGround, 0.15),
        (Noticed::Noise, 0.05),
    ],
    touched: &[Touched::Pipework, Touched::Pump],
    ..Fault::PLAIN
};

/// The column drains back after a stop. Severity: minutes that takes.
pub const CHECK_VALVE_LEAK: Fault = Fault {
    cause: Cause::CheckValveLeak,
    damage: |d: &mut Damage| {
        // Where none is fitted, none can leak.
        d.unfit = !d.plant.check_valve;
        let minutes = d.dice.log_uniform(0.5, 60.0);
        d.plant.drain_min = Some(minutes);
        Some(minutes)
    },
    stops: true,
    noticed: &[(Noticed::WaterLate, 0.6), (Noticed::Noise, 0.15), (Noticed::LessWater, 0.1)],
    touched: &[Touched::Pump, Touched::Pipework],
    ..Fault::PLAIN
};
