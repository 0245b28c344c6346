//! Eyes and ears: running, noise, leaks, shade, dirt, displays, tank, valves, clock, nameplates.
//!
//! Shares of what is noticed are engineering judgement: a submersible pump is heard badly, a bit of dust is
//! always there, one buried valve in ten is missed.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::Answer;
use wellwright_domain::flags::Flags;

use super::moment::Moment;
use super::{Fields, number, seen, yes};
use crate::plant::dice::Dice;

/// Chance that a person calls the noise unusual.
fn noise(cause: Cause) -> f64 {
    match cause {
        Cause::OpenPhase | Cause::MechanicalDrag => 0.45,
        Cause::DryRunning => 0.4,
        Cause::SeizedPump => 0.35,
        Cause::GasInWater => 0.3,
        Cause::WindingFault | Cause::BrokenShaft => 0.2,
        Cause::BlockedIntake | Cause::CheckValveLeak => 0.15,
        Cause::ReversedRotation | Cause::WornPump | Cause::ClosedValve => 0.12,
        _ => 0.05,
    }
}

/// Running (3 % misjudged), noise, leak, shade and dirt.
pub fn look_and_listen(m: &Moment, dice: &mut Dice) -> Fields {
    let (cause, severity) = (m.case.cause, m.case.severity.unwrap_or(0.0));
    // A wet place is seen where the pipe lies above ground; in the well it is heard at best.
    let leak = match &m.case.plant.leak {
        Some(leak) if leak.in_riser() => 0.15,
        Some(_) => 0.8,
        None => 0.03,
    };
    let shade = match cause {
        Cause::PartialShade if severity >= 0.1 => 0.9,
        Cause::PartialShade => 0.7,
        _ => 0.07,
    };
    let dirt = match cause {
        Cause::Soiling if severity >= 0.15 => 0.92,
        Cause::Soiling => 0.65,
        _ => 0.12,
    };
    vec![
        ("running", seen(m.runs(), 0.03, dice)),
        ("unusual_noise", yes(noise(cause), dice)),
        ("leak_seen", yes(leak, dice)),
        ("shade_seen", yes(shade, dice)),
        ("dirt_seen", yes(dirt, dice)),
    ]
}

/// The controller shows what it also records, with fewer digits; a dead one shows nothing.
pub fn controller_display(m: &Moment) -> Option<Fields> {
    let sample = m.sample();
    let state = sample.state?;
    let mut fields =
        vec![("state", Answer::State(state)), ("flags", Answer::Flags(sample.flags.unwrap_or(Flags::NONE)))];
    let shown = [
        (Channel::ArrayV, "array_v", 1.0),
        (Channel::ArrayA, "array_a", 0.1),
        (Channel::MotorRpm, "rpm", 10.0),
    ];
    for (channel, field, step) in shown {
        if let Some(v) = sample.get(channel) {
            fields.push((field, number(v, step)));
        }
    }
    Some(fields)
}

/// Level to 4 %; a trickle of a fiftieth of the healthy flow is still seen (3 % misjudged).
pub fn tank_look(m: &Moment, dice: &mut Dice) -> Fields {
    let t = m.truth();
    let level = (t.tank + dice.normal(0.0, 4.0)).clamp(0.0, 100.0);
    let arrives = t.arrives > 0.02 * m.healthy_flow();
    vec![("level_pct", number(level, 5.0)), ("water_arriving", seen(arrives, 0.03, dice))]
}

/// A shut valve is missed in 10 %, an open one doubted in 3 %.
pub fn valve_position(m: &Moment, dice: &mut Dice) -> Fields {
    let shut = m.case.cause == Cause::ClosedValve;
    vec![("all_open", seen(!shut, if shut { 0.1 } else { 0.03 }, dice))]
}

/// Telemetry clock minus watch: a right clock is off by a minute or two.
pub fn clock_compare(m: &Moment, dice: &mut Dice) -> Fields {
    let error = if m.case.cause == Cause::ClockError { m.case.severity.unwrap_or(0.0) } else { 0.0 };
    vec![("offset_h", number(error + dice.normal(0.0, 0.03), 0.01))]
}

/// Modules counted (3 % slip by one) and nameplates read; the motor's hangs in the well, its papers are there in
/// six of ten.
pub fn record_count(m: &Moment, dice: &mut Dice) -> Fields {
    let case = m.case;
    let differs = case.cause == Cause::RecordMismatch;
    let (real, told) = (&case.plant.panels, &case.healthy.panels);
    let panels = if differs { real } else { told };
    let strings: usize = panels.strings.iter().map(|s| s.1).sum();
    let each = panels.strings.first().map_or(0, |(groups, _)| groups.iter().map(|g| g.count).sum::<usize>());
    let series = (each / panels.module.substrings.max(1)).max(1);
    let slip = |n: usize, dice: &mut Dice| if dice.chance(0.03) { n + 1 } else { n };
    let (series, strings) = (slip(series, dice), slip(strings, dice));
    let mut fields =
        vec![("series", Answer::Number(series as f64)), ("strings", Answer::Number(strings as f64))];
    let plate = case.system.array.module.isc_a.zip(case.system.array.module.voc_v);
    if let Some((isc, voc)) = plate {
        // Another type of module has another plate.
        let other = |of: f64, a: f64, b: f64| if differs { of * a / b } else { of };
        fields.push(("isc_a", number(other(isc, real.module.isc, told.module.isc), 0.01)));
        fields.push(("voc_v", number(other(voc, real.module.voc, told.module.voc), 0.1)));
    }
    if dice.chance(0.6) {
        fields.push(("pole_pairs", Answer::Number(case.plant.motor.pole_pairs)));
    }
    fields
}

/// Vents and place of the controller.
pub fn controller_touch(m: &Moment, dice: &mut Dice) -> Fields {
    let hot = m.case.cause == Cause::ControllerOverheating;
    // Something is to be seen at nearly every controller that overheats.
    let blocked = dice.chance(if hot { 0.6 } else { 0.06 });
    let in_sun = dice.chance(if hot && !blocked {
        0.8
    } else if hot {
        0.4
    } else {
        0.12
    });
    vec![("blocked", Answer::Bool(blocked)), ("in_sun", Answer::Bool(in_sun))]
}

/// Sand and bubbles in a glass; there must be water.
pub fn water_look(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    if m.truth().arrives < 0.01 * m.healthy_flow() {
        return None;
    }
    let sand = match m.case.cause {
        Cause::BlockedIntake => 0.3,
        Cause::DryRunning | Cause::MechanicalDrag => 0.25,
        Cause::WornPump | Cause::WellYieldLimit | Cause::CloggedScreen => 0.2,
        _ => 0.05,
    };
    let bubbles = match m.case.cause {
        Cause::GasInWater => 0.88,
        Cause::DryRunning => 0.6,
        Cause::WellYieldLimit => 0.3,
        Cause::BlockedIntake => 0.12,
        _ => 0.05,
    };
    Some(vec![("sand", yes(sand, dice)), ("bubbles", yes(bubbles, dice))])
}
