//! Rows and records that are wrong, thin or far too long: a clear verdict, never a panic, never a confident wrong
//! cause.

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation};
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::Rotation;
use wellwright_tests::rows::{nearly_clear, noon, row};

/// Air of these days, degC.
const AIR_C: f64 = 22.0;

const SITUATIONS: [Option<Situation>; 4] =
    [None, Some(Situation::FirstStart), Some(Situation::AfterRepair), Some(Situation::InService)];

fn summary(f: &Finding) -> String {
    let first: Vec<String> =
        f.causes.iter().take(4).map(|c| format!("{} {:.2}", c.code.code(), c.probability)).collect();
    format!("{} {:?} {:?}: {}", f.system, f.verdict, f.regime, first.join(", "))
}

/// Explains, and checks what holds for every finding: finite, sorted, in the list once, sums to one.
#[track_caller]
fn explained(case: &Case) -> Finding {
    let f = explain(case).unwrap();
    let sum: f64 = f.causes.iter().map(|c| c.probability).chain(f.pairs.iter().map(|p| p.probability)).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(f.causes.iter().all(|c| (0.0..=1.0).contains(&c.probability)), "{}", summary(&f));
    assert!(f.causes.windows(2).all(|w| w[0].probability >= w[1].probability), "{}", summary(&f));
    assert_eq!(f.window.used + f.window.set_aside, f.window.rows, "{}", summary(&f));
    assert_eq!(f.window.rows, case.samples.len());
    f
}

/// Every situation: no cause but `fair` ones reaches 0.8, and the verdict is no confident fault of another kind.
#[track_caller]
fn nothing_wrong_is_sure(system: &System, samples: &[Sample], fair: &[Cause]) -> Vec<Finding> {
    let look = |situation, noticed| {
        let case = Case { situation, noticed, ..Case::new(system) };
        let f = explained(&case.with_samples(samples));
        let first = f.leading().unwrap();
        println!("{}", summary(&f));
        assert!(first.probability < 0.8 || fair.contains(&first.code), "{situation:?} {}", summary(&f));
        f
    };
    let mut found: Vec<Finding> = SITUATIONS.into_iter().map(|s| look(s, None)).collect();
    found.push(look(Some(Situation::InService), Some(&[Noticed::NoWater][..])));
    found
}

/// Twenty minutes at noon under a nearly clear sky.
fn running(system: &System) -> Vec<Sample> {
    let (plant, _) = Plant::from_record(system).unwrap();
    let clear = clear_plane(&plant, noon(system)).unwrap();
    (0..120)
        .map(|k| {
            let at = noon(system) + TimeDelta::seconds(10 * k);
            row(&plant, at, clear * nearly_clear(k), AIR_C, 60.0 + k as f64 / 6.0)
        })
        .collect()
}

fn changed(samples: &[Sample], change: impl Fn(&mut Sample)) -> Vec<Sample> {
    let mut out = samples.to_vec();
    out.iter_mut().for_each(change);
    out
}

/// At standard conditions, as the record has it.
fn open_circuit_v(system: &System) -> f64 {
    f64::from(system.array.series.unwrap()) * system.array.module.voc_v.unwrap()
}

fn short_circuit_a(system: &System) -> f64 {
    f64::from(system.array.strings.unwrap()) * system.array.module.isc_a.unwrap()
}

/// Only what every controller tells.
fn lean(s: &mut Sample) {
    for c in Channel::ALL {
        if !matches!(c, Channel::ArrayV | Channel::ArrayA | Channel::MotorRpm) {
            s.set(c, None);
        }
    }
}

/// What a record that does not fit its rows may fairly be called.
const NO_FIT: [Cause; 2] = [Cause::Unknown, Cause::RecordMismatch];

// ---- rows against the record ------------------------------------------------------------------------------

/// The same reading put wrong in every row, with all sensors and with none: the record, or nobody knows.
#[track_caller]
fn blames_the_record_or_nothing(channel: Channel, reads: impl Fn(&System) -> f64) {
    for system in [kestrel_hollow(), dovecote_bend()] {
        for only_lean in [false, true] {
            let samples = changed(&running(&system), |s| {
                s.set(channel, Some(reads(&system)));
                if only_lean {
                    lean(s);
                }
            });
            for f in nothing_wrong_is_sure(&system, &samples, &NO_FIT) {
                let first = f.leading().unwrap().code;
                let clear = f.verdict == Verdict::TooLittle || first == Cause::RecordMismatch;
                assert!(clear, "{}", summary(&f));
                let said = f.contradictions.iter().find(|c| c.between[0] == channel.code());
                let said = said.unwrap_or_else(|| panic!("not said: {}", summary(&f)));
                assert!(said.id == "beyond_the_record" && said.values[0] > said.values[1], "{said:?}");
            }
        }
    }
}

/// More than the open-circuit voltage of the record's array on its coldest morning.
#[test]
fn more_voltage_than_the_array_can_give_blames_the_record_or_nothing() {
    for times in [1.25, 2.2] {
        blames_the_record_or_nothing(Channel::ArrayV, |system| times * open_circuit_v(system));
    }
}

/// More than the short-circuit current of all strings in the brightest sun.
#[test]
fn more_current_than_the_array_can_give_blames_the_record_or_nothing() {
    blames_the_record_or_nothing(Channel::ArrayA, |system| 1.8 * short_circuit_a(system));
}

/// It runs at full power in the middle of the night: the clock, or nothing.
#[test]
fn power_from_nothing_is_the_clock_or_nobody_knows() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let samples = changed(&running(&system), |s| s.at += TimeDelta::hours(12));
        let fair = [Cause::Unknown, Cause::RecordMismatch, Cause::ClockError];
        for f in nothing_wrong_is_sure(&system, &samples, &fair) {
            assert_ne!(f.verdict, Verdict::StandingBy, "{}", summary(&f));
        }
    }
}

/// A pump that turns and lifts while the array gives neither voltage nor current.
#[test]
fn a_pump_that_runs_on_nothing_is_not_explained() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let samples = changed(&running(&system), |s| {
            s.set(Channel::ArrayV, Some(0.0));
            s.set(Channel::ArrayA, Some(0.0));
        });
        nothing_wrong_is_sure(&system, &samples, &NO_FIT);
        let without_current = changed(&running(&system), |s| s.set(Channel::ArrayA, Some(0.0)));
        nothing_wrong_is_sure(&system, &without_current, &NO_FIT);
    }
}

#[test]
fn values_that_cannot_be_are_left_out() {
    let system = kestrel_hollow();
    let sound = running(&system);
    let samples = changed(&sound, |s| {
        s.set(Channel::FlowM3H, Some(-1e9));
        s.set(Channel::WellheadKpa, Some(f64::NAN));
        s.set(Channel::WaterLevelM, Some(f64::INFINITY));
        s.set(Channel::PhaseUA, Some(-4.0));
    });
    for f in nothing_wrong_is_sure(&system, &samples, &[Cause::Healthy, Cause::Unknown]) {
        assert!(
            f.causes.iter().flat_map(|c| &c.evidence).all(|e| {
                !matches!(e.channel.as_deref(), Some("flow_m3_h" | "wellhead_kpa" | "water_level_m"))
            }),
            "{}",
            summary(&f)
        );
    }
}

// ---- hardly any rows --------------------------------------------------------------------------------------

#[test]
fn columns_that_are_all_empty_decide_nothing() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let empty = changed(&running(&system), |s| *s = Sample::new(s.at));
        let only_states = changed(&running(&system), |s| {
            let state = s.state;
            *s = Sample::new(s.at);
            s.state = state;
        });
        for samples in [empty, only_states] {
            let case = Case {
                situation: Some(Situation::FirstStart),
                noticed: Some(&[Noticed::NoWater]),
                ..Case::new(&system)
            };
            let f = explained(&case.with_samples(&samples));
            let first = f.leading().unwrap();
            assert!(first.probability < 0.5, "{}", summary(&f));
            assert!(!f.next_checks.is_empty(), "it says what to look at");
            nothing_wrong_is_sure(&system, &samples, &[Cause::Healthy]);
        }
    }
}

#[test]
fn one_row_is_enough_to_answer_and_too_little_to_be_sure() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let all = running(&system);
        let stopped = changed(&all[..1], |s| {
            s.state = Some(PumpState::Stopped);
            for c in [Channel::MotorRpm, Channel::ArrayA, Channel::FlowM3H] {
                s.set(c, Some(0.0));
            }
        });
        nothing_wrong_is_sure(&system, &all[..1], &[Cause::Healthy]);
        nothing_wrong_is_sure(&system, &stopped, &[]);
        nothing_wrong_is_sure(&system, &changed(&all[..1], lean), &[Cause::Healthy]);
        nothing_wrong_is_sure(&system, &[Sample::new(all[0].at)], &[Cause::Healthy]);
    }
}

#[test]
fn a_night_alone_is_standing_by() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let night: Vec<Sample> = (0..120)
            .map(|k| {
                let mut s = Sample::new(noon(&system) + TimeDelta::hours(10) + TimeDelta::minutes(2 * k))
                    .with(Channel::ArrayV, 0.4)
                    .with(Channel::ArrayA, 0.0)
                    .with(Channel::MotorRpm, 0.0);
                s.state = Some(PumpState::Stopped);
                s.flags = Some(Flags::NONE);
                s
            })
            .collect();
        let named = changed(&night, |s| s.flags = Some(Flags::NONE.with(Flag::LowPower)));
        let fair = [Cause::StandingBy, Cause::LowSun, Cause::Healthy];
        for samples in [night, named] {
            for situation in SITUATIONS {
                let case = Case { situation, ..Case::new(&system) };
                let f = explained(&case.with_samples(&samples));
                assert!(
                    matches!(f.verdict, Verdict::StandingBy | Verdict::TooLittle | Verdict::Healthy),
                    "{situation:?} {}",
                    summary(&f)
                );
                assert_eq!(f.do_first, None);
            }
            nothing_wrong_is_sure(&system, &samples, &fair);
            let f = explained(&Case::new(&system).with_samples(&samples));
            assert_eq!(f.verdict, Verdict::StandingBy, "{}", summary(&f));
        }
    }
}

// ---- hardly any record ------------------------------------------------------------------------------------

fn bare(kind: &str, of: &System) -> System {
    let text = format!(
        "schema = 1\nname = \"Bare {kind}\"\n[site]\nlatitude_deg = {}\nlongitude_deg = {}\naltitude_m = {}\n\
         time_zone = \"{}\"\n[well]\nintake_depth_m = {}\n[pump]\nkind = \"{kind}\"\n",
        of.site.latitude_deg,
        of.site.longitude_deg,
        of.site.altitude_m,
        of.site.time_zone,
        of.well.intake_depth_m
    );
    System::from_toml(&text, "bare.system.toml").unwrap()
}

#[test]
fn a_record_without_sensors_and_with_only_what_it_must_have_is_wider_not_wrong() {
    for (kind, whole) in [("centrifugal", kestrel_hollow()), ("helical_rotor", dovecote_bend())] {
        let system = bare(kind, &whole);
        let sound = running(&whole);
        let lean_rows = changed(&sound, lean);
        for samples in [&sound[..], &lean_rows[..], &[]] {
            let fair = [Cause::Healthy, Cause::Unknown, Cause::RecordMismatch];
            for f in nothing_wrong_is_sure(&system, samples, &fair) {
                assert!(f.assumed.len() > 5, "what was assumed is said: {:?}", f.assumed);
            }
        }
        // what needs no record still speaks
        let (mut plant, _) = Plant::from_record(&whole).unwrap();
        plant.condition.pump.rotation = Rotation::Reversed;
        let clear = clear_plane(&plant, noon(&whole)).unwrap();
        let backwards: Vec<Sample> = (0..120)
            .map(|k| row(&plant, noon(&whole) + TimeDelta::seconds(10 * k), 0.9 * clear, AIR_C, 60.0))
            .collect();
        let case = Case {
            situation: Some(Situation::FirstStart),
            noticed: Some(&[Noticed::NoWater]),
            ..Case::new(&system)
        };
        let f = explained(&case.with_samples(&backwards));
        assert!(!matches!(f.verdict, Verdict::Healthy | Verdict::StandingBy), "{}", summary(&f));
    }
}

// ---- far too many rows ------------------------------------------------------------------------------------

/// A year of quarter hours up to a moment; the plant changes once, so many days before the end.
fn year(
    system: &System,
    end: DateTime<FixedOffset>,
    days: i64,
    before: &Plant,
    after: &Plant,
) -> Vec<Sample> {
    // one curve of points a plant: the light of each row is rounded to 10 W/m2
    let points = |plant: &Plant| -> Vec<Sample> {
        (0..130).map(|k| row(plant, end, 10.0 * f64::from(k), AIR_C, 120.0)).collect()
    };
    let (old, new) = (points(before), points(after));
    let (plant, _) = Plant::from_record(system).unwrap();
    let dark = changed(&old[..1], |s| s.set(Channel::ArrayV, Some(0.3)));
    (0..35_040i64)
        .map(|k| {
            let at = end - TimeDelta::minutes(15 * (35_040 - 1 - k));
            let clear = clear_plane(&plant, at).unwrap_or(0.0);
            // a cloudy day now and then
            let day = (at - end).num_days();
            let light = clear * if day % 5 == 2 { 0.35 } else { 0.9 };
            let table = if end - at < TimeDelta::days(days) { &new } else { &old };
            let mut s = if light < 5.0 { dark[0].clone() } else { table[(light / 10.0) as usize].clone() };
            s.at = at;
            s
        })
        .collect()
}

fn quick(case: &Case) -> Finding {
    let begun = Instant::now();
    let f = explained(case);
    let took = begun.elapsed();
    println!("a year: {took:?}, {}", summary(&f));
    assert!(took < Duration::from_secs(5), "{took:?}");
    f
}

#[test]
fn a_year_of_rows_is_answered_for_its_last_days() {
    let system = kestrel_hollow();
    let (sound, _) = Plant::from_record(&system).unwrap();
    let mut backwards = sound.clone();
    backwards.condition.pump.rotation = Rotation::Reversed;
    let afternoon = noon(&system) + TimeDelta::hours(4);
    let midnight = noon(&system) + TimeDelta::hours(12);
    for end in [afternoon, midnight] {
        let lately = year(&system, end, 10, &sound, &backwards);
        let f = quick(&Case::new(&system).with_samples(&lately));
        assert_eq!(f.verdict, Verdict::Fault, "{}", summary(&f));
        assert_eq!(f.leading().unwrap().code, Cause::ReversedRotation, "{}", summary(&f));
        assert_eq!(f.window.rows, 35_040);
        assert!(f.window.set_aside > 34_800, "{:?}", f.window);
        assert_eq!(f.window.to, Some(end));
        assert!(end - f.window.from.unwrap() <= TimeDelta::days(3), "{:?}", f.window);
        let long_ago = year(&system, end, 10, &backwards, &sound);
        let f = quick(&Case::new(&system).with_samples(&long_ago));
        assert_eq!(f.verdict, Verdict::Healthy, "{}", summary(&f));
    }
}

#[test]
fn a_year_of_nothing_is_too_little() {
    let system = dovecote_bend();
    let empty: Vec<Sample> =
        (0..35_040).map(|k| Sample::new(noon(&system) + TimeDelta::minutes(15 * k))).collect();
    let case = Case { situation: Some(Situation::InService), ..Case::new(&system) };
    let f = quick(&case.clone().with_samples(&empty));
    assert_eq!(f.window.used, 0, "{:?}", f.window);
    let noticed = Case { noticed: Some(&[Noticed::NoWater]), ..case };
    let f = quick(&noticed.with_samples(&empty));
    assert_eq!(f.verdict, Verdict::TooLittle, "{}", summary(&f));
}
