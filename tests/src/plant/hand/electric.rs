//! Motor leads and the inputs of the controller.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::Answer;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::Situation;

use super::moment::Moment;
use super::{Fields, number, seen};
use crate::plant::dice::Dice;
use crate::plant::pipe::GRAVITY;
use crate::plant::plant::Plant;
use crate::plant::pump::RHO;

/// True-rms clamp: 2 % of its own, 1.2 % by how it sits on the lead, 0.03 A.
pub fn lead_current(m: &Moment, dice: &mut Dice) -> Fields {
    let own = dice.factor(0.02);
    let fields = ["u_a", "v_a", "w_a"];
    let amps = m.truth().phases;
    let read = |k: usize, dice: &mut Dice| {
        let seen = amps[k] * own * dice.factor(0.012) + dice.normal(0.0, 0.03);
        number(seen.max(0.0), if seen < 40.0 { 0.01 } else { 0.1 })
    };
    (0..3).map(|k| (fields[k], read(k, dice))).collect()
}

/// Low-ohm meter: 1 % and 0.02 ohm with its own leads; the motor has cooled to within 10 K of the water.
pub fn lead_resistance(m: &Moment, dice: &mut Dice) -> Fields {
    let (case, motor) = (m.case, &m.case.plant.motor);
    let water = case.plant.water_c;
    let warm = water + dice.uniform(0.0, 10.0);
    let winding = motor.winding * (234.5 + warm) / 254.5;
    let mut phase = [winding; 3];
    if let Some((bad, share, _)) = motor.shorted {
        phase[bad] *= 1.0 - share;
    }
    let own = dice.factor(0.01);
    let pair = |a: usize, b: usize, dice: &mut Dice| {
        if motor.open.is_some_and(|open| open == a || open == b) {
            return Answer::Number(1e6);
        }
        let real = phase[a] + phase[b] + 2.0 * motor.lead + motor.extra[a] + motor.extra[b];
        number((real * own + dice.normal(0.0, 0.02)).max(0.01), 0.01)
    };
    vec![
        ("uv_ohm", pair(0, 1, dice)),
        ("vw_ohm", pair(1, 2, dice)),
        ("wu_ohm", pair(2, 0, dice)),
        ("lead_c", number(water + 2.0, 1.0)),
    ]
}

/// Insulation tester to 5 %, top 1000 Mohm; a sound cable in water has 20 Mohm to far over the top, shorted turns
/// often leak too.
pub fn insulation_resistance(m: &Moment, dice: &mut Dice) -> Fields {
    let case = m.case;
    let real = match case.cause {
        // Damp changes from hour to hour.
        _ if case.plant.motor.earth.is_some() => {
            case.plant.motor.earth.map_or(1e6, |e| e.1) / 1e6 * dice.factor(0.15)
        }
        Cause::WindingFault if dice.chance(0.3) => dice.log_uniform(0.02, 2.0),
        _ => dice.log_uniform(20.0, 3000.0),
    };
    let mohm = (real * dice.factor(0.05)).min(1000.0);
    let test_v = if m.truth().v.max(60.0) < 130.0 { 250.0 } else { 500.0 };
    vec![
        ("mohm", number(mohm, 0.001)),
        ("test_v", Answer::Number(test_v)),
        ("lead_c", number(case.plant.water_c + 2.0, 1.0)),
    ]
}

/// Flow and gauge before and after at the same sun; 5 % each. Never for a helical rotor that ran right before.
pub fn swap_two_leads(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let (case, t) = (m.case, m.truth());
    let helical = case.system.pump.kind == PumpKind::HelicalRotor;
    if helical && case.circumstances.situation == Situation::InService {
        return None;
    }
    let mut other = case.plant.clone();
    other.back = !other.back;
    let (flow, kpa) = settled(&other, t.g, t.air_c);
    let read = |x: f64, dice: &mut Dice| number((x * dice.factor(0.05)).max(0.0), 0.01);
    let mut fields = vec![("flow_before_m3_h", read(t.arrives, dice)), ("flow_after_m3_h", read(flow, dice))];
    if case.system.access.as_ref().is_none_or(|a| a.gauge_port != Some(false)) {
        fields.push(("kpa_before", read(t.kpa, dice)));
        fields.push(("kpa_after", read(kpa, dice)));
    }
    Some(fields)
}

/// Flow m3/h and gauge kPa that a plant settles at; nothing below its lowest speed.
fn settled(plant: &Plant, g: f64, air_c: f64) -> (f64, f64) {
    let held = plant.settled(g, air_c).filter(|h| h.n >= plant.drive.min_rpm);
    let still = RHO * GRAVITY * plant.outlet / 1000.0;
    held.map_or((0.0, still), |h| (3600.0 * h.load.arrives, RHO * GRAVITY * h.load.gauge / 1000.0))
}

/// Does it start once an input is bridged: it must have been stopped by that input, or run anyhow (3 % misjudged).
fn starts(m: &Moment, flag: Flag, dice: &mut Dice) -> Answer {
    let t = m.truth();
    let by_input = t.state == PumpState::Stopped && t.flags.has(flag);
    let daylight = t.g > 150.0;
    seen((by_input && daylight) || m.runs(), 0.03, dice)
}

/// Only with water proved over the intake, and where such an input is used.
pub fn bridge_dry_input(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let covered = m.truth().depth < m.case.plant.well.intake - 0.3;
    (m.case.plant.probe.is_some() && covered).then(|| vec![("starts", starts(m, Flag::DryProbe, dice))])
}

/// Where a float is wired.
pub fn bridge_float_input(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    m.case.plant.float.then(|| vec![("starts", starts(m, Flag::TankFull, dice))])
}

/// Off, ten minutes, on: tracking begins anew, heat has gone; voltage and current from the display.
pub fn restart_controller(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let (case, t) = (m.case, m.truth());
    if t.g < 100.0 {
        return None;
    }
    let mut plant = case.plant.clone();
    if case.cause == Cause::PowerTrackingStuck && dice.chance(0.8) {
        plant.drive = case.healthy.drive.clone();
    }
    let stays = t.state == PumpState::Stopped && !t.flags.has(Flag::LowPower) && t.flags != Flags::NONE;
    let held = plant.settled(t.g, t.air_c).filter(|h| h.n >= plant.drive.min_rpm);
    let (v, a) = match held {
        Some(h) if !stays && m.runs() => (h.v, h.load.dc / h.v.max(1.0)),
        _ => (t.v, t.a),
    };
    Some(vec![
        ("array_v_after", number(v * dice.factor(0.01), 1.0)),
        ("array_a_after", number(a * dice.factor(0.02), 0.1)),
    ])
}
