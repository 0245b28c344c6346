//! Motor: current in full sun against motor and controller, breaking away, and cooling.

use wellwright_domain::finding::Regime;
use wellwright_domain::lead_map::Parity;
use wellwright_domain::record::PumpKind;
use wellwright_physics::motor::ke_v_s;
use wellwright_physics::sizing::past_motor_m_s;

use super::bench::{Bench, FULL_SUN_W_M2, OF_PUMP, OF_WELL, lacking};
use super::code::Code;
use super::draft::Draft;
use super::line::{Line, Outcome, Whose, shown};
use crate::error::AppError;
use crate::text::Quantity;

/// A motor may lie this far over its rating before it is called wrong: the model is no closer.
const NEAR_RATING: f64 = 1.05;
/// Water past the motor, m/s (common practice: 0.08 to 0.16, no single source).
const COOLING_M_S: [f64; 2] = [0.08, 0.16];
/// Share of the controller's limit that breaking away may take before a person should look.
const BREAK_AWAY_SHARE: f64 = 0.8;

/// All lines of the motor.
///
/// # Errors
/// None but those of physics on an impossible record.
pub fn lines(b: &Bench<'_>) -> Result<Vec<Line>, AppError> {
    let mut out = vec![current_motor(b), current_controller(b)];
    out.extend(break_away(b));
    out.extend(lead_maps(b));
    out.push(cooling(b)?);
    Ok(out)
}

fn current_motor(b: &Bench<'_>) -> Line {
    let rated = b.system.motor.rated_a_rms;
    let mut missing = b.assumed_of(&OF_PUMP);
    missing.extend(lacking(&[("motor.rated_a_rms", rated.is_some())]));
    let heaviest = b.heaviest();
    let value = heaviest.map(|l| l.motor.phase_a);
    let over = value.zip(rated).is_some_and(|(v, r)| v > NEAR_RATING * r);
    Draft::new(Code::MotorCurrentMotor)
        .value(value)
        .limit(rated)
        .missing(missing)
        .at_worst(if over { Outcome::Fail } else { Outcome::Look })
        .place("rpm", b.words.value(Quantity::Speed, heaviest.map_or(0.0, |l| l.rpm)))
        .from("rpm", heaviest.map(|l| l.rpm))
        .from("irradiance_w_m2", FULL_SUN_W_M2)
        .also(heaviest.is_none().then(|| b.words.t("design.stands").to_owned()))
        .finish(b.words)
}

/// What full sun would ask for if the controller's current had no limit.
fn current_controller(b: &Bench<'_>) -> Line {
    let limit = b.system.controller.max_phase_a_rms;
    let mut missing = b.assumed_of(&OF_PUMP);
    missing.extend(lacking(&[("controller.max_phase_a_rms", limit.is_some())]));
    let mut free = b.plant.clone();
    free.controller.max_phase_a = 1e6;
    let asked = free.operating_point(&b.moment(FULL_SUN_W_M2, b.air_c, b.level())).load;
    let held = b.full().regime == Regime::CurrentLimited;
    // where the limit only slows it down a person decides; where it stands still it is wrong
    let worst = if b.full().load.is_some() { Outcome::Look } else { Outcome::Fail };
    let draft = Draft::new(Code::MotorCurrentController)
        .value(asked.map(|l| l.motor.phase_a))
        .limit(limit)
        .missing(missing)
        .at_worst(worst)
        .place("rpm", b.words.value(Quantity::Speed, b.full().load.map_or(0.0, |l| l.rpm)))
        .from("irradiance_w_m2", FULL_SUN_W_M2)
        .from("held_by_current", f64::from(u8::from(held)))
        .also(asked.is_none().then(|| b.words.t("design.stands").to_owned()));
    draft.finish(b.words)
}

/// Said before the pump goes down. `None` for a cable whose joints are not written down.
fn lead_maps(b: &Bench<'_>) -> Option<Line> {
    let cable = &b.system.cable;
    if cable.joints.is_empty() {
        return None;
    }
    let crossed = cable.parity().map(|p| f64::from(u8::from(p == Parity::Odd)));
    let unknown = crossed.is_none().then(|| b.words.t("design.lead_maps.unknown").to_owned());
    Some(Draft::new(Code::LeadMaps).value(crossed).limit(Some(0.0)).also(unknown).finish(b.words))
}

fn break_away(b: &Bench<'_>) -> Option<Line> {
    if b.system.pump.kind != PumpKind::HelicalRotor {
        return None;
    }
    let limit = b.system.controller.max_phase_a_rms;
    let missing = lacking(&[
        ("pump.break_away_torque_nm", b.system.pump.break_away_torque_nm.is_some()),
        ("motor.ke_v_rms_ll_per_krpm", b.system.motor.ke_v_rms_ll_per_krpm.is_some()),
        ("controller.max_phase_a_rms", limit.is_some()),
    ]);
    let torque = b.plant.break_away_nm() + b.plant.motor.own_torque_nm(0.0);
    let amps = torque / (3f64.sqrt() * ke_v_s(b.plant.motor.ke_v_per_krpm));
    let mut draft = Draft::new(Code::BreakAwayCurrent)
        .value(Some(amps))
        .limit(limit)
        .missing(missing)
        .place("torque", format!("{torque:.2}\u{a0}N\u{a0}m"))
        .from("torque_nm", torque)
        .from("ke_v_s_per_rad", ke_v_s(b.plant.motor.ke_v_per_krpm));
    if let Some(limit) = limit {
        draft = draft.look_from(BREAK_AWAY_SHARE * limit);
    }
    Some(draft.finish(b.words))
}

fn cooling(b: &Bench<'_>) -> Result<Line, AppError> {
    let (casing, motor) = (b.system.well.casing_inner_mm, b.system.motor.outer_mm);
    let own = b.system.motor.min_cooling_m_s;
    let mut missing =
        lacking(&[("well.casing_inner_mm", casing.is_some()), ("motor.outer_mm", motor.is_some())]);
    if casing.is_some() && motor.is_some() {
        missing.extend(b.assumed_of(&OF_PUMP));
        missing.extend(b.assumed_of(&OF_WELL));
    }
    let flow = b.full_flow();
    // a motor as wide as its casing has no water past it at all
    let fits = casing.zip(motor).is_none_or(|(c, m)| m < 0.999 * c);
    let value = match casing.zip(motor) {
        Some((c, m)) if fits => (flow > 0.0).then(|| past_motor_m_s(flow, c, m)).transpose()?,
        Some(_) => Some(0.0),
        None => None,
    };
    let draft = Draft::new(Code::CoolingFlow)
        .whose(if own.is_some() { Whose::Motor } else { Whose::CommonPractice })
        .value(value)
        .limit(Some(own.unwrap_or(COOLING_M_S[0])))
        .missing(missing)
        .place("flow", b.words.value(Quantity::Flow, flow))
        .place("better", shown(COOLING_M_S[1], "m/s", b.words))
        .from("flow_m3_h", flow)
        .from("casing_inner_mm", casing)
        .from("motor_outer_mm", motor)
        .also(match (fits, flow > 0.0) {
            (false, _) => Some(b.words.t("design.cooling_flow.wide").to_owned()),
            (true, false) => Some(b.words.t("design.full_sun.stands").to_owned()),
            (true, true) => None,
        });
    // without the motor's own figure, the upper end of what the trade asks for is where doubt ends
    let draft = if own.is_none() { draft.look_from(COOLING_M_S[1]) } else { draft };
    Ok(draft.finish(b.words))
}
