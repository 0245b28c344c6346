//! Well, valves and pipe.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, Sun};
use crate::plant::plant::SHUT;

/// The level is at the intake: fallen at rest, or the well gives next to nothing.
pub const DRY_RUNNING: Fault = Fault {
    cause: Cause::DryRunning,
    sun: Sun::Enough,
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
};

/// A valve after gauge and meter is shut or nearly shut. Severity: flow that passes at 900 W/m2 over
/// healthy flow.
pub const CLOSED_VALVE: Fault = Fault {
    cause: Cause::ClosedValve,
    sun: Sun::Enough,
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
};

/// Valve coefficient at which `share` of the healthy flow passes at 900 W/m2. A pump that then turns
/// below its lowest speed stalls in the field; the coefficient still is the one of that share.
fn valve_that_passes(d: &mut Damage, share: f64) -> f64 {
    let mut plant = d.plant.clone();
    let aim = share * d.flow_900;
    let (mut low, mut high) = (4.0_f64, 11.9_f64);
    for _ in 0..40 {
        let mid = f64::midpoint(low, high);
        plant.valve = 10.0_f64.powf(mid);
        let passes = plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.out);
        if passes > aim { low = mid } else { high = mid }
    }
    10.0_f64.powf(low)
}
