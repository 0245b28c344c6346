//! Answers that cannot both be right: a hand check against the sensor of the same quantity, a look against a
//! flag, two answers of one check.
//!
//! The ranking weighs every answer by itself; here is said where two of them disagree by more than their errors
//! allow (about three of them), so that the person can measure once more. A contradiction decides nothing.

use std::collections::HashSet;

use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Answer, Check, CheckMade, FieldKind};
use wellwright_domain::finding::Contradiction;

use super::insulation_resistance::GOOD_MOHM;
use super::lead_resistance;
use super::moment::{is_same_moment, row_at, steady_at};
use crate::case::Case;
use crate::impossible::Bounds;
use crate::predict::outcome;
use crate::predict::sky::Calendar;
use crate::refuted::Refuted;
use crate::score::warned::warned;
use crate::window::{Look, Outcome, PHASES, is_senseless};
use wellwright_physics::plant::Plant;

/// Two answers of one check differ when they lie apart by this share.
const TWICE: f64 = 0.25;

/// A tank below this is not full, %.
const NOT_FULL_PCT: f64 = 80.0;

/// Water over the probe that a true dry signal never has, m.
const OVER_PROBE_M: f64 = 2.0;

/// How far two readings of one quantity may lie apart.
#[derive(Clone, Copy)]
enum Tolerance {
    /// A share of the larger, and at least so much.
    Share(f64, f64),
    /// In the unit.
    Offset(f64),
}

/// Two values of one thing.
struct Two<'a> {
    id: &'a str,
    between: [&'a str; 2],
    values: [f64; 2],
    unit: &'a str,
}

impl Two<'_> {
    fn beyond(&self, tolerance: Tolerance) -> Option<Contradiction> {
        let [a, b] = self.values;
        let apart = (a - b).abs();
        let larger = a.abs().max(b.abs());
        let (too_far, difference, relative) = match tolerance {
            Tolerance::Share(share, least) => {
                (apart > (share * larger).max(least), apart / larger.max(1e-9), true)
            }
            Tolerance::Offset(most) => (apart > most, apart, false),
        };
        too_far.then(|| Contradiction {
            id: self.id.to_owned(),
            between: self.between.map(str::to_owned),
            values: self.values,
            unit: self.unit.to_owned(),
            difference,
            relative,
        })
    }
}

/// What is known beside a case.
pub struct Beside<'a> {
    /// Checks of another time, which were left out of the case.
    pub far: &'a [CheckMade],
    /// When the sun should be up.
    pub calendar: &'a Calendar<'a>,
    /// Sensors that were set aside.
    pub refuted: &'a [Refuted],
}

/// Below this insulation is a leak that is dangerous, Mohm (IEEE 43 and motor manuals: far below any accepted value).
const LEAK_MOHM: f64 = 0.1;

/// A leak to ground that a tester found, told where another cause leads: whatever else is wrong, nothing is energised.
pub fn leak_to_ground(checks: &[CheckMade]) -> Option<Contradiction> {
    let told = |c: &CheckMade| c.check == Check::InsulationResistance;
    let made = checks.iter().rev().find(|c| told(c))?;
    let mohm = made.number("mohm").filter(|m| *m < LEAK_MOHM)?;
    let values = [mohm, LEAK_MOHM];
    Two { id: "leak_to_ground", between: [made.check.code(), "record"], values, unit: "Mohm" }
        .beyond(Tolerance::Share(0.0, 0.0))
}

/// Everything that contradicts, worst shares first.
pub fn contradictions(
    case: &Case,
    look: &Look,
    healthy: &Plant,
    bounds: &Bounds,
    beside: &Beside,
) -> Vec<Contradiction> {
    let mut out: Vec<Contradiction> = Vec::new();
    let beyond = bounds.passed(healthy);
    out.extend(beyond.into_iter().filter_map(|(channel, values)| beyond_the_record(channel, values)));
    if beside.calendar.is_wrong {
        out.push(yes_and_no("sun_at_night", [Channel::ArrayV.code(), "time"], [1.0, 0.0]));
    }
    out.extend(beside.refuted.iter().filter_map(refuted_by_the_rest));
    out.extend(beside.far.iter().map(|c| yes_and_no("another_time", [c.check.code(), "time"], [1.0, 0.0])));
    let warns = warned(look);
    out.extend(warns.map(|o| yes_and_no("flag_while_running", [o.code(), "state"], [1.0, 0.0])));
    for made in case.checks {
        out.extend(cannot_be(made, healthy));
        out.extend(against_sensor(case, look, made));
        out.extend(against_flags(case, look, made));
        out.extend(against_record(case, made));
    }
    out.extend(bucket_against_tank(case));
    out.extend(said_twice(case));
    out.sort_by(|a, b| b.relative.cmp(&a.relative).then(b.difference.total_cmp(&a.difference)));
    // of each pair the worst
    let mut said = HashSet::new();
    out.retain(|c| said.insert((c.id.clone(), c.between.clone())));
    out
}

/// The quantity that a check measures by hand, and the sensor that measures the same.
fn against_sensor(case: &Case, look: &Look, made: &CheckMade) -> Option<Contradiction> {
    let point = steady_at(look, made.at);
    let sensor = |c: Channel| point.and_then(|p| p.get(c));
    let sensors = &case.system.sensors;
    let of = |id, code, by_hand: Option<f64>, other, channel: Option<f64>, unit, tolerance| {
        Two { id, between: [code, other], values: [by_hand?, channel?], unit }.beyond(tolerance)
    };
    let code = made.check.code();
    match made.check {
        Check::BucketTest => {
            let seconds = made.number("seconds").filter(|s| *s > 0.0)?;
            let flow = made.number("litres").map(|l| 3.6 * l / seconds);
            let meter = 3.0 * sensors.flow_share();
            let tolerance = Tolerance::Share(meter.hypot(0.15), 0.15);
            of("flow_meter_and_bucket", code, flow, "flow_m3_h", sensor(Channel::FlowM3H), "m3/h", tolerance)
        }
        Check::WellheadGauge => {
            let meter = 3.0 * sensors.pressure_share();
            let tolerance = Tolerance::Share(meter.hypot(0.15), 20.0);
            let (hand, read) = (made.number("kpa"), sensor(Channel::WellheadKpa));
            of("pressure_sensor_and_gauge", code, hand, "wellhead_kpa", read, "kPa", tolerance)
        }
        Check::WaterLevelSounding | Check::RestingLevelSounding => {
            let running = made.check == Check::WaterLevelSounding;
            let level = if running { sensor(Channel::WaterLevelM) } else { look.stops.rest_level_m };
            let meter = sensors.level_error_m(level.unwrap_or_default());
            let tolerance = Tolerance::Offset(3.0 * meter.hypot(if running { 0.6 } else { 0.4 }));
            let hand = made.number("depth_m");
            of("level_sensor_and_sounding", code, hand, "water_level_m", level, "m", tolerance)
        }
        Check::LeadCurrent => {
            // the lead in which they lie farthest apart
            let both = ["u_a", "v_a", "w_a"].into_iter().zip(PHASES);
            let both = both.filter_map(|(lead, phase)| Some((made.number(lead)?, sensor(phase)?, phase)));
            let apart = |x: &(f64, f64, Channel)| (x.0 - x.1).abs();
            let (hand, told, phase) = both.max_by(|x, y| apart(x).total_cmp(&apart(y)))?;
            let tolerance = Tolerance::Share(0.2, 0.3);
            of("controller_and_clamp", code, Some(hand), phase.code(), Some(told), "A", tolerance)
        }
        Check::ArrayTerminalVoltage => {
            let (hand, told) = (made.number("controller_v"), sensor(Channel::ArrayV));
            of("controller_and_meter", code, hand, "array_v", told, "V", Tolerance::Share(0.08, 3.0))
        }
        Check::DcIsolatorLook => {
            let (hand, told) = (made.number("input_v"), sensor(Channel::ArrayV));
            of("controller_and_meter", code, hand, "array_v", told, "V", Tolerance::Share(0.3, 10.0))
        }
        Check::StringCurrent => {
            let Some(Answer::List(amps)) = made.answers.get("amps") else { return None };
            let (sum, told) = (Some(amps.iter().sum()), sensor(Channel::ArrayA));
            of("controller_and_strings", code, sum, "array_a", told, "A", Tolerance::Share(0.2, 0.4))
        }
        Check::HandheldIrradiance => {
            let meter = 3.0 * sensors.irradiance_share();
            let tolerance = Tolerance::Share(meter.hypot(0.15), 40.0);
            let (hand, read) = (made.number("w_m2"), sensor(Channel::IrradianceWM2));
            of("sun_sensor_and_meter", code, hand, "irradiance_w_m2", read, "W/m2", tolerance)
        }
        _ => None,
    }
}

/// An answer that no fault of this system could give.
fn cannot_be(made: &CheckMade, healthy: &Plant) -> Option<Contradiction> {
    let model = super::model(made.check)?;
    let slip = model.cannot_be(made, healthy)?;
    let (unit, _) = model.unit(0)?;
    let two = Two { id: slip.id, between: [made.check.code(), "record"], values: slip.values, unit };
    two.beyond(Tolerance::Share(0.0, 0.0))
}

/// What somebody saw, and what the controller says it was told.
fn against_flags(case: &Case, look: &Look, made: &CheckMade) -> Option<Contradiction> {
    let observed = outcome::observed(look)?;
    match made.check {
        Check::TankLook if observed == Outcome::TankFull => {
            let level = made.number("level_pct")?;
            let two = Two {
                id: "float_and_tank",
                between: [made.check.code(), "tank_full"],
                values: [level, 100.0],
                unit: "%",
            };
            two.beyond(Tolerance::Offset(100.0 - NOT_FULL_PCT))
        }
        Check::WaterLevelSounding | Check::RestingLevelSounding if observed == Outcome::Dry => {
            let depth = made.number("depth_m")?;
            let probe = case.system.protection.as_ref().and_then(|p| p.dry_probe_depth_m);
            let probe = probe.unwrap_or(case.system.well.intake_depth_m);
            let two = Two {
                id: "dry_signal_and_sounding",
                between: [made.check.code(), "dry_probe"],
                values: [depth, probe],
                unit: "m",
            };
            // deeper than the probe agrees with the signal
            two.beyond(Tolerance::Offset(OVER_PROBE_M)).filter(|_| depth < probe)
        }
        Check::LeadResistance => {
            let ran = steady_at(look, made.at).is_some_and(|p| p.phase_a().is_none_or(|a| a > 0.0));
            let open = lead_resistance::is_open(made) && observed == Outcome::Runs;
            (ran && open).then(|| yes_and_no("open_and_running", [made.check.code(), "state"], [1.0, 0.0]))
        }
        Check::LookAndListen => {
            let seen = made.yes("running")?;
            // only what is surely of the same moment
            let row = made.at.and_then(|at| row_at(case.samples, at));
            let told = row.is_some_and(|s| s.runs() && !is_senseless(s));
            (told && !seen).then(|| yes_and_no("look_and_state", [made.check.code(), "state"], [0.0, 1.0]))
        }
        _ => None,
    }
}

/// What was counted, and what the record says.
fn against_record(case: &Case, made: &CheckMade) -> Option<Contradiction> {
    if made.check != Check::RecordCount {
        return None;
    }
    let array = &case.system.array;
    let recorded = [
        ("series", array.series.map(f64::from)),
        ("strings", array.strings.map(f64::from)),
        ("pole_pairs", case.system.motor.pole_pairs.map(f64::from)),
    ];
    recorded.into_iter().find_map(|(field, recorded)| {
        let values = [made.number(field)?, recorded?];
        Two { id: "count_and_record", between: [made.check.code(), field], values, unit: "count" }
            .beyond(Tolerance::Offset(0.5))
    })
}

/// A reading, and the most that the array of the record can ever give.
fn beyond_the_record(channel: Channel, values: [f64; 2]) -> Option<Contradiction> {
    let between = [channel.code(), "record"];
    Two { id: "beyond_the_record", between, values, unit: channel.unit() }.beyond(Tolerance::Share(0.0, 0.0))
}

/// A sensor that all other readings refute.
fn refuted_by_the_rest(r: &Refuted) -> Option<Contradiction> {
    let (between, values) = ([r.channel.code(), "state"], [r.reads, r.needs]);
    Two { id: "refuted", between, values, unit: r.channel.unit() }.beyond(Tolerance::Share(0.0, 0.0))
}

/// Water in the bucket at the outlet, and none at the tank.
fn bucket_against_tank(case: &Case) -> Option<Contradiction> {
    let of = |check: Check| case.checks.iter().rev().find(|c| c.check == check);
    let (bucket, tank) = (of(Check::BucketTest)?, of(Check::TankLook)?);
    let flows = bucket.number("litres")? > 0.5;
    let arrives = tank.yes("water_arriving")?;
    let same = same_moment(bucket, tank);
    let at_wellhead = matches!(bucket.answers.get("at_place"), Some(Answer::Word(w)) if w == "wellhead");
    let between = [Check::BucketTest.code(), Check::TankLook.code()];
    let sure = |yes: bool| f64::from(u8::from(yes));
    (same && !at_wellhead && flows != arrives)
        .then(|| yes_and_no("bucket_and_tank", between, [sure(flows), sure(arrives)]))
}

/// Two answers to the same question.
fn said_twice(case: &Case) -> Vec<Contradiction> {
    let mut out = Vec::new();
    for (k, first) in case.checks.iter().enumerate() {
        for second in case.checks[k + 1..].iter().filter(|c| c.check == first.check && same_moment(first, c))
        {
            for (field, kind) in &first.check.info().fields {
                out.extend(of_field(first, second, field, kind));
            }
        }
    }
    out
}

fn of_field(first: &CheckMade, second: &CheckMade, field: &str, kind: &FieldKind) -> Option<Contradiction> {
    let code = first.check.code();
    let bucket = first.check == Check::BucketTest;
    match kind {
        FieldKind::Bool => {
            let said = [first.yes(field)?, second.yes(field)?];
            let values = said.map(|b| f64::from(u8::from(b)));
            (said[0] != said[1]).then(|| yes_and_no("twice", [code, field], values))
        }
        // buckets of two sizes are compared by their flow
        FieldKind::Number(_) if bucket && field == "seconds" => None,
        FieldKind::Number(unit) => {
            let value = |m: &CheckMade| {
                let x = m.number(field)?;
                if bucket { m.number("seconds").map(|s| 3.6 * x / s.max(0.1)) } else { Some(x) }
            };
            let unit = if bucket { "m3/h" } else { unit.trim_end_matches(" gauge") };
            let unit = if unit == "m below wellhead" { "m" } else { unit };
            let two =
                Two { id: "twice", between: [code, field], values: [value(first)?, value(second)?], unit };
            two.beyond(match unit {
                "m" => Tolerance::Offset(1.0),
                // more than any tester needs to tell is one
                "Mohm" if two.values.iter().all(|v| *v > GOOD_MOHM) => return None,
                "h" => Tolerance::Share(TWICE, 0.25),
                "kPa" => Tolerance::Share(TWICE, 20.0),
                "V" => Tolerance::Share(TWICE, 3.0),
                "A" => Tolerance::Share(TWICE, 0.3),
                _ => Tolerance::Share(TWICE, 1e-3),
            })
        }
        _ => None,
    }
}

/// Two checks without times, or within the same half hour.
fn same_moment(a: &CheckMade, b: &CheckMade) -> bool {
    a.at.zip(b.at).is_none_or(|(s, t)| is_same_moment(s, t))
}

fn yes_and_no(id: &str, between: [&str; 2], values: [f64; 2]) -> Contradiction {
    Contradiction {
        id: id.to_owned(),
        between: between.map(str::to_owned),
        values,
        unit: String::new(),
        difference: 1.0,
        relative: true,
    }
}
