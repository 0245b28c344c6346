//! The ranking from outside: recordings of an independent plant, bad input, stop-now, safe suggestions.

use std::path::Path;

use chrono::TimeDelta;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::files::telemetry::read_telemetry;
use wellwright_domain::finding::{DoFirst, Finding, Verdict};
use wellwright_domain::flags::PumpState;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;
use wellwright_tests::files::CaseFiles;
use wellwright_tests::rows::{nearly_clear, noon, row};

fn recording(name: &str) -> Finding {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/recordings");
    explain(&CaseFiles::read(&dir, name).unwrap().case()).unwrap()
}

#[test]
fn recordings_of_an_independent_plant() {
    for (name, cause) in [
        ("high-resistance-joint-1", Cause::HighResistanceJoint),
        ("open-phase-1", Cause::OpenPhase),
        // on a lean system a dirty array looks much like it
        ("partial-shade-2", Cause::PartialShade),
    ] {
        let finding = recording(name);
        let place = finding.causes.iter().position(|c| c.code == cause);
        let most = usize::from(name == "partial-shade-2");
        assert!(place.is_some_and(|p| p <= most), "{name}: {:?}", summary(&finding));
        assert_eq!(finding.verdict, Verdict::Fault, "{name}");
        sums_to_one(&finding);
    }
}

#[test]
fn the_severity_of_a_recording_lies_near_its_interval() {
    // made with 0.846 ohm in one lead
    let finding = recording("high-resistance-joint-1");
    let severity = finding.leading().unwrap().severity.clone().unwrap();
    assert_eq!(severity.unit, "ohm");
    assert!(severity.interval[0] < 0.846 && severity.interval[1] > 0.6, "{severity:?}");
}

fn summary(f: &Finding) -> Vec<(Cause, f64)> {
    f.causes.iter().take(4).map(|c| (c.code, c.probability)).collect()
}

fn sums_to_one(f: &Finding) {
    let sum: f64 = f.causes.iter().map(|c| c.probability).chain(f.pairs.iter().map(|p| p.probability)).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(f.causes.windows(2).all(|w| w[0].probability >= w[1].probability));
}

/// Rows of a plant in some condition under a nearly clear noon sky.
fn running(system: &System, change: impl Fn(&mut Plant), minutes: i64) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    change(&mut plant);
    let start = noon(system);
    let clear = clear_plane(&plant, start).unwrap();
    let at = |k: i64| {
        row(&plant, start + TimeDelta::seconds(10 * k), clear * nearly_clear(k), 25.0, 60.0 + k as f64 / 6.0)
    };
    (0..minutes * 6).map(at).collect()
}

fn reversed(plant: &mut Plant) {
    plant.condition.pump.rotation = wellwright_physics::pump::Rotation::Reversed;
}

#[test]
fn a_helical_rotor_that_turns_backwards_is_to_be_stopped_and_never_dead_headed() {
    let system = dovecote_bend();
    let samples = running(&system, reversed, 20);
    let case = Case { situation: Some(Situation::FirstStart), ..Case::new(&system) };
    let finding = explain(&case.with_samples(&samples)).unwrap();
    assert_eq!(finding.do_first, Some(DoFirst::StopNow), "{:?}", summary(&finding));
    for next in &finding.next_checks {
        assert_ne!(next.code, Check::DeadHeadGauge);
        assert!(
            wellwright_diagnosis::checks::model(next.code).is_none_or(|m| !m.while_running()),
            "{:?} needs a running pump",
            next.code
        );
    }
}

#[test]
fn a_centrifugal_pump_that_turns_backwards_may_run_on() {
    let system = kestrel_hollow();
    let samples = running(&system, reversed, 20);
    let case = Case { situation: Some(Situation::FirstStart), ..Case::new(&system) };
    let finding = explain(&case.with_samples(&samples)).unwrap();
    assert_eq!(finding.leading().unwrap().code, Cause::ReversedRotation, "{:?}", summary(&finding));
    assert_eq!(finding.do_first, None);
}

#[test]
fn dry_running_is_to_be_stopped_whatever_the_pump() {
    let system = kestrel_hollow();
    let dry = |p: &mut Plant| {
        p.condition.pump.dry_torque_share = Some(0.2);
        p.condition.water.static_deeper_m = p.water.well.intake_m - p.water.well.static_m;
    };
    let finding = explain(&Case::new(&system).with_samples(&running(&system, dry, 20))).unwrap();
    assert_eq!(finding.leading().unwrap().code, Cause::DryRunning, "{:?}", summary(&finding));
    assert_eq!(finding.do_first, Some(DoFirst::StopNow));
}

#[test]
fn healthy_rows_are_healthy() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let finding = explain(&Case::new(&system).with_samples(&running(&system, |_| {}, 20))).unwrap();
        assert_eq!(finding.verdict, Verdict::Healthy, "{:?}", summary(&finding));
        assert_eq!(finding.do_first, None);
    }
}

#[test]
fn no_rows_one_row_and_empty_columns_decide_nothing() {
    let system = kestrel_hollow();
    let one = running(&system, |_| {}, 1)[..1].to_vec();
    let mut empty: Vec<Sample> =
        (0..50).map(|k| Sample::new(noon(&system) + TimeDelta::seconds(k))).collect();
    empty[3].state = Some(PumpState::Running);
    for samples in [Vec::new(), one, empty] {
        let case = Case {
            situation: Some(Situation::FirstStart),
            noticed: Some(&[Noticed::NoWater]),
            ..Case::new(&system)
        };
        let finding = explain(&case.with_samples(&samples)).unwrap();
        sums_to_one(&finding);
        let first = finding.leading().unwrap();
        assert!(first.probability < 0.8, "{:?}", summary(&finding));
    }
}

#[test]
fn telemetry_that_no_array_of_this_record_can_give_names_no_fault_with_certainty() {
    let system = dovecote_bend();
    let mut samples = running(&system, |_| {}, 20);
    for s in &mut samples {
        // twice the open-circuit voltage of the record
        s.set(Channel::ArrayV, Some(300.0));
        s.set(Channel::ArrayA, Some(9.0));
    }
    let finding = explain(&Case::new(&system).with_samples(&samples)).unwrap();
    sums_to_one(&finding);
    let first = finding.leading().unwrap();
    assert!(first.code == Cause::Unknown || first.probability < 0.8, "{:?}", summary(&finding));
}

#[test]
fn a_record_with_only_what_is_required_gives_a_wider_answer() {
    let text = "schema = 1\nname = \"Thin Record\"\n[site]\nlatitude_deg = -22.9\nlongitude_deg = 17.3\n\
                altitude_m = 1350.0\ntime_zone = \"Africa/Windhoek\"\n[well]\nintake_depth_m = 60.0\n\
                [pump]\nkind = \"centrifugal\"\n";
    let thin = System::from_toml(text, "thin.system.toml").unwrap();
    let samples = running(&kestrel_hollow(), |_| {}, 20);
    let finding = explain(&Case::new(&thin).with_samples(&samples)).unwrap();
    assert!(finding.assumed.contains(&"well.static_level_m".to_owned()), "{:?}", finding.assumed);
    assert_ne!(finding.verdict, Verdict::Fault, "{:?}", summary(&finding));
    sums_to_one(&finding);
}

#[test]
fn answers_alone_move_the_ranking() {
    let system = kestrel_hollow();
    let made = |check: Check, fields: &[(&str, f64)]| CheckMade {
        check,
        at: None,
        answers: fields.iter().map(|(k, v)| ((*k).to_owned(), Answer::Number(*v))).collect(),
    };
    let bucket = made(Check::BucketTest, &[("litres", 0.0), ("seconds", 120.0)]);
    let swap = made(Check::SwapTwoLeads, &[("flow_before_m3_h", 0.0), ("flow_after_m3_h", 4.8)]);
    let situation = Some(Situation::FirstStart);
    let p = |checks: &[CheckMade], cause: Cause| {
        let finding = explain(&Case { situation, checks, ..Case::new(&system) }).unwrap();
        finding.causes.iter().find(|c| c.code == cause).unwrap().probability
    };
    // the priors of a first start give it 40 of about 123
    assert!(p(&[], Cause::Healthy) > 0.3);
    assert!(p(std::slice::from_ref(&bucket), Cause::Healthy) < 0.05);
    let reversed = p(&[bucket, swap], Cause::ReversedRotation);
    assert!(reversed > 0.9, "{reversed}");
}

#[test]
fn a_check_that_the_place_forbids_is_not_suggested() {
    let mut system = kestrel_hollow();
    let samples = running(&system, reversed, 20);
    let suggested = |system: &System| -> Vec<Check> {
        let f = explain(&Case::new(system).with_samples(&samples[..12])).unwrap();
        f.next_checks.iter().map(|n| n.code).collect()
    };
    let mut access = system.access.clone().unwrap();
    access.gauge_port = Some(false);
    access.sounding = Some(false);
    access.outlet_reachable = Some(false);
    system.access = Some(access);
    for check in suggested(&system) {
        assert!(
            !matches!(
                check,
                Check::WellheadGauge | Check::DeadHeadGauge | Check::WaterLevelSounding | Check::BucketTest
            ),
            "{check:?}"
        );
    }
}

/// Something in the way of the water that opens and closes by itself, every two minutes: no cause of the catalogue
/// does that, though one would fit each moment. The same in one state all the time is a valve.
#[test]
fn what_comes_and_goes_is_no_cause_of_the_catalogue() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let (sound, _) = Plant::from_record(&system).unwrap();
        let mut choked = sound.clone();
        choked.condition.water.valve_m_per_m3h2 = throttled_to(&sound, 0.2);
        let clear = clear_plane(&sound, noon(&system)).unwrap();
        let rows = |is_choked: &dyn Fn(i64) -> bool| -> Finding {
            let row = |k: i64| {
                let plant = if is_choked(k) { &choked } else { &sound };
                let minutes = 60.0 + k as f64 / 6.0;
                row(plant, noon(&system) + TimeDelta::seconds(10 * k), clear * nearly_clear(k), 22.0, minutes)
            };
            let samples: Vec<Sample> = (0..240).map(row).collect();
            explain(&Case::new(&system).with_samples(&samples)).unwrap()
        };
        let (comes_and_goes, stays) = (rows(&|k| k / 12 % 2 == 0), rows(&|_| true));
        assert_eq!(comes_and_goes.leading().unwrap().code, Cause::Unknown, "{:?}", summary(&comes_and_goes));
        assert_eq!(stays.leading().unwrap().code, Cause::ClosedValve, "{:?}", summary(&stays));
    }
}

/// Loss coefficient that leaves this share of the flow in bright sun, m per (m3/h)^2.
fn throttled_to(plant: &Plant, share: f64) -> f64 {
    let bright = Moment {
        irradiance_w_m2: 900.0,
        cell_c: 50.0,
        level: Level::After { minutes: 60.0 },
        heat_share: 1.0,
    };
    let flow = |k: f64| {
        let mut p = plant.clone();
        p.condition.water.valve_m_per_m3h2 = k;
        p.operating_point(&bright).load.map_or(0.0, |l| l.water.wellhead_m3_h)
    };
    let wanted = share * flow(0.0);
    let (mut open, mut shut) = (0.01, 1e4);
    for _ in 0..40 {
        let k = f64::sqrt(open * shut);
        if flow(k) > wanted { open = k } else { shut = k }
    }
    open
}

/// A longitude with the wrong sign makes day of night: what trips in the sun is told all the same, and the slip is
/// said.
#[test]
fn a_wrong_longitude_hides_no_trip() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/recordings");
    let read = |end: &str| std::fs::read_to_string(dir.join(format!("open-phase-1.{end}"))).unwrap();
    let mut system = System::from_toml(&read("system.toml"), "open-phase-1").unwrap();
    system.site.longitude_deg = -system.site.longitude_deg;
    let telemetry = read_telemetry(read("telemetry.csv").as_bytes(), "open-phase-1").unwrap();
    let finding = explain(&Case::new(&system).with_samples(&telemetry.samples)).unwrap();
    assert_eq!(finding.causes[0].code, Cause::OpenPhase, "{:?}", summary(&finding));
    assert!(finding.contradictions.iter().any(|c| c.id == "sun_at_night"), "{:?}", finding.contradictions);
}
