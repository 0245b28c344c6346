//! Answers that cannot both be right are pointed out, with what they say and how far apart they lie; answers
//! within their errors are not.

use wellwright_diagnosis::{Case, explain};
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::finding::Contradiction;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::sample::Sample;

use super::bench::{list, made, number, yes};
use super::published::in_the_sun;

fn of(samples: &[Sample], checks: &[CheckMade]) -> Vec<Contradiction> {
    let system = kestrel_hollow();
    explain(&Case { checks, ..Case::new(&system).with_samples(samples) }).unwrap().contradictions
}

fn channel(samples: &[Sample], c: Channel) -> f64 {
    samples.last().unwrap().get(c).unwrap()
}

#[test]
fn a_bucket_and_a_meter_forty_per_cent_apart() {
    let samples = in_the_sun(1.0);
    let meter = channel(&samples, Channel::FlowM3H);
    let bucket = |share: f64| {
        made(Check::BucketTest, &[("litres", number(20.0)), ("seconds", number(72.0 / (share * meter)))])
    };
    let found = of(&samples, &[bucket(0.6)]);
    assert_eq!(found.len(), 1, "{found:?}");
    let c = &found[0];
    assert_eq!((c.id.as_str(), c.unit.as_str(), c.relative), ("flow_meter_and_bucket", "m3/h", true));
    assert_eq!(c.between, ["bucket_test", "flow_m3_h"]);
    assert!((c.difference - 0.4).abs() < 0.01 && (c.values[1] - meter).abs() < 0.05 * meter, "{c:?}");
    assert!(of(&samples, &[bucket(0.95)]).is_empty());
}

#[test]
fn each_sensor_is_held_against_its_hand_check() {
    let samples = in_the_sun(1.0);
    let [kpa, level, amps, volts, array_a] =
        [Channel::WellheadKpa, Channel::WaterLevelM, Channel::PhaseUA, Channel::ArrayV, Channel::ArrayA]
            .map(|c| channel(&samples, c));
    let three = |a: f64| [("u_a", number(a)), ("v_a", number(a)), ("w_a", number(a))];
    for (id, agrees, disagrees) in [
        (
            "pressure_sensor_and_gauge",
            made(Check::WellheadGauge, &[("kpa", number(kpa + 5.0))]),
            made(Check::WellheadGauge, &[("kpa", number(kpa + 90.0))]),
        ),
        (
            "level_sensor_and_sounding",
            made(Check::WaterLevelSounding, &[("depth_m", number(level + 0.6))]),
            made(Check::WaterLevelSounding, &[("depth_m", number(level + 6.0))]),
        ),
        (
            "sun_sensor_and_meter",
            made(Check::HandheldIrradiance, &[("w_m2", number(830.0))]),
            made(Check::HandheldIrradiance, &[("w_m2", number(500.0))]),
        ),
        (
            "controller_and_clamp",
            made(Check::LeadCurrent, &three(1.05 * amps)),
            made(Check::LeadCurrent, &three(1.6 * amps)),
        ),
        (
            "controller_and_meter",
            made(
                Check::ArrayTerminalVoltage,
                &[("array_v", number(volts + 1.0)), ("controller_v", number(0.99 * volts))],
            ),
            made(
                Check::ArrayTerminalVoltage,
                &[("array_v", number(volts + 1.0)), ("controller_v", number(0.8 * volts))],
            ),
        ),
        (
            "controller_and_strings",
            made(Check::StringCurrent, &[("amps", list(&[0.97 * array_a]))]),
            made(Check::StringCurrent, &[("amps", list(&[0.6 * array_a]))]),
        ),
    ] {
        assert!(of(&samples, &[agrees]).is_empty(), "{id}");
        let found = of(&samples, &[disagrees]);
        assert_eq!(found.iter().map(|c| c.id.as_str()).collect::<Vec<_>>(), [id]);
    }
}

/// Rows of a pump that stands by one flag.
fn standing(flag: Flag) -> Vec<Sample> {
    let mut samples = in_the_sun(1.0);
    for s in &mut samples {
        s.state = Some(PumpState::Stopped);
        s.flags = Some(Flags::NONE.with(flag));
        for c in [Channel::MotorRpm, Channel::ArrayA, Channel::PhaseUA, Channel::FlowM3H] {
            s.set(c, Some(0.0));
        }
    }
    samples
}

#[test]
fn a_look_is_held_against_the_signal() {
    let tank = |pct: f64| made(Check::TankLook, &[("level_pct", number(pct))]);
    let full = standing(Flag::TankFull);
    assert_eq!(of(&full, &[tank(30.0)])[0].id, "float_and_tank");
    assert!(of(&full, &[tank(95.0)]).is_empty());
    let dry = standing(Flag::DryProbe);
    let sounding = |m: f64| made(Check::RestingLevelSounding, &[("depth_m", number(m))]);
    let found = of(&dry, &[sounding(33.0)]);
    assert!(found.iter().any(|c| c.id == "dry_signal_and_sounding"), "{found:?}");
    let deep = of(&dry, &[sounding(59.0)]);
    assert!(deep.iter().all(|c| c.id != "dry_signal_and_sounding"), "{deep:?}");
}

/// A pump that has tripped since may well be seen to stand.
#[test]
fn a_look_is_held_against_the_rows_of_its_own_time() {
    let mut rows = in_the_sun(1.0);
    let at = rows.last().unwrap().at;
    let stands = CheckMade { at: Some(at), ..made(Check::LookAndListen, &[("running", yes(false))]) };
    let said =
        |rows: &[Sample]| of(rows, std::slice::from_ref(&stands)).iter().any(|c| c.id == "look_and_state");
    assert!(said(&rows));
    let n = rows.len();
    for s in &mut rows[n - 10..] {
        (s.state, s.flags) = (Some(PumpState::Tripped), Some(Flags::NONE.with(Flag::OverCurrent)));
        s.set(Channel::MotorRpm, Some(0.0));
    }
    assert!(!said(&rows));
}

#[test]
fn two_answers_to_one_question() {
    let open = |yes_it_is: bool| made(Check::ValvePosition, &[("all_open", yes(yes_it_is))]);
    let found = of(&[], &[open(true), open(false)]);
    assert_eq!((found.len(), found[0].id.as_str()), (1, "twice"));
    assert_eq!(found[0].between, ["valve_position", "all_open"]);
    let gauge = |kpa: f64| made(Check::WellheadGauge, &[("kpa", number(kpa))]);
    assert!(of(&[], &[gauge(60.0), gauge(66.0)]).is_empty());
    assert_eq!(of(&[], &[gauge(60.0), gauge(120.0)]).len(), 1);
    // two buckets of different size that say the same
    let bucket = |l: f64, s: f64| made(Check::BucketTest, &[("litres", number(l)), ("seconds", number(s))]);
    assert!(of(&[], &[bucket(10.0, 10.0), bucket(20.0, 20.5)]).is_empty());
    let arrives = made(Check::TankLook, &[("water_arriving", yes(false))]);
    assert!(of(&[], &[bucket(20.0, 20.0), arrives]).iter().any(|c| c.id == "bucket_and_tank"));
    // hours apart the sun has moved
    let at = |time: &str, kpa: f64| CheckMade {
        at: chrono::DateTime::parse_from_rfc3339(time).ok(),
        ..gauge(kpa)
    };
    assert!(of(&[], &[at("2026-03-14T08:00:00Z", 60.0), at("2026-03-14T12:00:00Z", 120.0)]).is_empty());
}
