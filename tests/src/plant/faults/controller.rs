//! The controller and its two inputs.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, Shown, Sun};
use crate::plant::balance::Supply;
use crate::plant::drive::Failed;
use crate::plant::plant::View;

/// Mean over running rows of the power not taken over the lesser of the array's best point and what the pump could
/// use with a sound controller. `None` when it never runs, or when the mean is outside `range`.
fn held_back(s: &Shown, range: (f64, f64)) -> Option<f64> {
    let running: Vec<_> = s.truth.iter().filter(|t| t.state == PumpState::Running && t.a > 0.0).collect();
    let step = running.len().div_ceil(24).max(1);
    let mut shares = Vec::new();
    for t in running.iter().step_by(step) {
        let curve = s.healthy.panels.curve(t.light, t.cell_c);
        let (peak, best) = curve.best(s.healthy.drive.min_v);
        let supply = Supply { curve: &curve, peak, track: peak, ripple: 0.0, cool: 1.0 };
        let view = View { depth: Some(t.depth), empty: 0.0, wet: 1.0, winding_c: s.plant.water_c + 12.0 };
        let drive = &s.healthy.drive;
        let usable = s.healthy.hold(0.05 * drive.max_rpm, drive.max_rpm, &supply, &view);
        let usable = usable.map_or(best, |h| h.load.dc.min(best));
        shares.push(1.0 - (t.v * t.a / usable.max(1.0)).min(1.0));
    }
    let mean = shares.iter().sum::<f64>() / shares.len().max(1) as f64;
    (shares.len() > 3 && mean >= range.0 && mean <= range.1).then_some(mean)
}

/// The controller is hot and holds back. Severity: power held back.
pub const CONTROLLER_OVERHEATING: Fault = Fault {
    cause: Cause::ControllerOverheating,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.1, 0.9);
        let Some(held) = d.plant.settled(900.0, 30.0) else {
            d.unfit = true;
            return None;
        };
        let drive = &mut d.plant.drive;
        // What holding back to this share of the usual power takes, by dust in the vents, sun or a dead fan.
        let out = held.load.motor.power_out * (1.0 - share);
        let left = (out / drive.max_power).max(0.1);
        let heat = drive.derate_from + 25.0 * (1.0 - left);
        let loss = drive.input(out) - out;
        let worse = d.dice.uniform(1.0, 2.0);
        drive.heat_k *= worse;
        drive.hot_k = heat - (30.0 + 3.0 + 3.6 + drive.heat_k * loss);
        drive.says_hot = d.dice.chance(0.6);
        if d.dice.chance(0.25) {
            drive.hot_trip_c = heat + d.dice.uniform(-1.0, 8.0);
        }
        d.unfit = drive.hot_k < 3.0;
        Some(share)
    },
    judge: Some(|s, _| held_back(s, (0.1, 0.9))),
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Hot, 0.45), (Noticed::StopsAndStarts, 0.25)],
    touched: &[Touched::Controller],
    ..Fault::PLAIN
};

/// DC arrives, no proper output.
pub const CONTROLLER_FAILED: Fault = Fault {
    cause: Cause::ControllerFailed,
    damage: |d: &mut Damage| {
        let senseless = [Flag::OverTemperature, Flag::UnderVoltage, Flag::OverVoltage, Flag::OverCurrent];
        d.plant.drive.failed = Some(match d.dice.weighted(&[0.5, 0.2, 0.1, 0.2]) {
            0 => Failed::Rests(Flags::NONE),
            1 => Failed::Rests(Flags::NONE.with(d.dice.pick(&senseless))),
            2 => Failed::Starts,
            _ => Failed::CommsLost,
        });
        None
    },
    noticed: &[(Noticed::NoWater, 0.9), (Noticed::Hot, 0.1)],
    touched: &[Touched::Controller],
    ..Fault::PLAIN
};

/// A limit is set below the record. Severity: share of the record's limit.
pub const LIMIT_SET_LOW: Fault = Fault {
    cause: Cause::LimitSetLow,
    damage: |d: &mut Damage| {
        let healthy = d.plant.settled(900.0, 25.0).map_or(0.0, |h| h.n);
        for _ in 0..12 {
            let share = d.dice.uniform(0.3, 0.9);
            let mut drive = d.plant.drive.clone();
            match d.dice.weighted(&[0.5, 0.25, 0.25]) {
                0 => drive.max_rpm *= share,
                1 => drive.max_a *= share,
                _ => drive.max_power *= share,
            }
            let mut plant = d.plant.clone();
            plant.drive = drive.clone();
            let now = plant.settled(900.0, 25.0).map_or(0.0, |h| h.n);
            // A limit that binds nowhere is no fault that anybody could find; one in ten is such.
            if drive.max_rpm > 1.1 * drive.min_rpm && (now < 0.985 * healthy || d.dice.chance(0.1)) {
                d.plant.drive = drive;
                return Some(share);
            }
        }
        d.unfit = true;
        None
    },
    noticed: &[(Noticed::LessWater, 0.55), (Noticed::NoWater, 0.05)],
    touched: &[Touched::Controller],
    ..Fault::PLAIN
};

/// The tracker holds a voltage off the best point. Severity: power lost.
pub const POWER_TRACKING_STUCK: Fault = Fault {
    cause: Cause::PowerTrackingStuck,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.1, 0.8);
        let g = d.dice.uniform(700.0, 950.0);
        let light = crate::plant::sun::Light { beam: 0.75 * g, diffuse: 0.25 * g, glass: 1.0 };
        let curve = d.plant.panels.curve(light, 28.0 + d.plant.cell_k * g);
        let (peak, best) = curve.best(d.plant.drive.min_v);
        let below = (1.0 - share) * peak;
        let stuck = if d.dice.chance(0.55) && below > d.plant.drive.min_v {
            below
        } else {
            curve.above(peak, (1.0 - share) * best)
        };
        d.plant.drive.stuck_v = Some(stuck);
        d.plant.drive.scan_s = None;
        d.plant.drive.track_wander *= d.dice.uniform(0.3, 3.0);
        Some(share)
    },
    judge: Some(|s, _| held_back(s, (0.1, 0.8))),
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.15)],
    touched: &[Touched::Controller, Touched::Array],
    ..Fault::PLAIN
};

/// The tank-full input is on, or its link is missing.
pub const STUCK_FLOAT: Fault = Fault {
    cause: Cause::StuckFloat,
    damage: |d: &mut Damage| {
        d.plant.float = true;
        d.plant.float_stuck = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.85)],
    touched: &[Touched::Tank, Touched::Controller, Touched::Probe],
    ..Fault::PLAIN
};

/// The dry input is on, or its link is missing.
pub const FALSE_DRY_SIGNAL: Fault = Fault {
    cause: Cause::FalseDrySignal,
    sun: Sun::Enough,
    damage: |d: &mut Damage| {
        let above = d.dice.uniform(1.0, 2.0);
        d.plant.probe = d.plant.probe.or(Some(d.plant.well.intake - above));
        d.plant.probe_stuck = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.85), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Probe, Touched::Controller, Touched::Cable, Touched::Well],
    ..Fault::PLAIN
};
