//! The next check: never unsafe, never impossible, worth its minutes, and with a reason.

use wellwright_diagnosis::checks::model;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{DoFirst, Finding};
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::Access;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation};
use wellwright_physics::pump::Rotation;

use super::bench::{made, number};
use super::published::{in_the_sun, running};

fn codes(f: &Finding) -> Vec<Check> {
    f.next_checks.iter().map(|n| n.code).collect()
}

/// A pump that turns at its speed and brings nothing to the flow meter; nothing else is measured.
fn no_water() -> Vec<Sample> {
    let mut samples = in_the_sun(1.0);
    for s in &mut samples {
        s.set(Channel::FlowM3H, Some(0.0));
        for c in [Channel::WellheadKpa, Channel::WaterLevelM] {
            s.set(c, None);
        }
    }
    samples
}

/// It stands, and the controller says that the dry input is on.
fn dry_signal() -> Vec<Sample> {
    let mut samples = no_water();
    for s in &mut samples {
        s.state = Some(PumpState::Stopped);
        s.flags = Some(Flags::NONE.with(Flag::DryProbe));
        for c in [Channel::MotorRpm, Channel::ArrayA, Channel::PhaseUA] {
            s.set(c, Some(0.0));
        }
    }
    samples
}

#[test]
fn a_suggestion_says_why_and_what_it_tells_apart() {
    let system = kestrel_hollow();
    let noticed = [Noticed::NoWater];
    let case = Case { situation: Some(Situation::FirstStart), noticed: Some(&noticed), ..Case::new(&system) };
    let f = explain(&case).unwrap();
    assert!(!f.next_checks.is_empty());
    for n in &f.next_checks {
        let why = n.why.as_ref().unwrap();
        assert!(["next.tells", "next.weighs", "next.confirms"].contains(&why.id.as_str()));
        if why.id == "next.tells" {
            assert_eq!(why.of, n.separates[0]);
            assert!(!why.from.is_empty() && why.from.iter().all(|c| n.separates.contains(c) && *c != why.of));
        }
        assert!(n.cost >= n.minutes && n.expected_bits > 0.0);
    }
    assert!(f.next_checks.iter().any(|n| n.why.as_ref().is_some_and(|w| w.id == "next.tells")));
}

/// Water over the intake must have been measured by hand within the hour before the dry input is bridged.
#[test]
fn the_dry_input_is_bridged_only_over_proved_water() {
    let system = kestrel_hollow();
    let samples = dry_signal();
    let end = samples.last().unwrap().at;
    let sounded = |depth: f64, minutes_ago: i64| CheckMade {
        at: Some(end - chrono::TimeDelta::minutes(minutes_ago)),
        ..made(Check::RestingLevelSounding, &[("depth_m", number(depth))])
    };
    let offered = |checks: &[CheckMade], situation| {
        let case = Case { situation: Some(situation), checks, ..Case::new(&system).with_samples(&samples) };
        codes(&explain(&case).unwrap()).contains(&Check::BridgeDryInput)
    };
    for situation in [Situation::FirstStart, Situation::AfterRepair, Situation::InService] {
        assert!(!offered(&[], situation));
        assert!(!offered(&[sounded(31.5, 180)], situation), "measured three hours ago");
        assert!(!offered(&[sounded(59.7, 5)], situation), "no water over the intake");
    }
}

/// With the stop, nothing is offered that runs or starts the pump.
#[test]
fn stop_now_leaves_only_checks_on_a_standing_pump() {
    let system = dovecote_bend();
    let samples = running(&system, 1.0, |c| c.pump.rotation = Rotation::Reversed);
    for situation in [Situation::FirstStart, Situation::AfterRepair] {
        let case = Case { situation: Some(situation), ..Case::new(&system).with_samples(&samples) };
        let f = explain(&case).unwrap();
        assert_eq!(f.do_first, Some(DoFirst::StopNow));
        for code in codes(&f) {
            let m = model(code).unwrap();
            assert!(!m.while_running() && !m.starts_pump(), "{code:?}");
        }
    }
}

#[test]
fn nothing_is_offered_that_place_pump_or_tools_forbid() {
    let noticed = [Noticed::NoWater];
    let all = |system: &wellwright_domain::record::System, tools: &[String], samples: &[Sample]| {
        let mut seen = Vec::new();
        for situation in [Situation::FirstStart, Situation::AfterRepair, Situation::InService] {
            let case = Case {
                situation: Some(situation),
                noticed: Some(&noticed),
                missing_tools: tools,
                ..Case::new(system).with_samples(samples)
            };
            seen.extend(codes(&explain(&case).unwrap()));
        }
        seen
    };
    let mut system = kestrel_hollow();
    let free = all(&system, &[], &[]);
    let needs = |c: &Check| c.info().tool != "none";
    let mut tools: Vec<String> = free.iter().filter(|c| needs(c)).map(|c| c.info().tool.clone()).collect();
    assert!(!tools.is_empty(), "{free:?}");
    // however it is written
    tools[0] = tools[0].to_uppercase();
    let without = all(&system, &tools, &[]);
    let barred = |c: &Check| tools.iter().any(|t| t.eq_ignore_ascii_case(&c.info().tool));
    assert!(!without.is_empty() && !without.iter().any(barred), "{without:?}");
    system.access = Some(Access {
        sounding: Some(false),
        gauge_port: Some(false),
        wellhead_valve: Some(false),
        outlet_reachable: Some(false),
    });
    let barred = all(&system, &[], &[]);
    let at_the_place = [
        Check::WaterLevelSounding,
        Check::RestingLevelSounding,
        Check::WellheadGauge,
        Check::DeadHeadGauge,
        Check::BucketTest,
    ];
    assert!(!barred.iter().any(|c| at_the_place.contains(c)), "{barred:?}");
    // it hangs in the well and was seen running: no drum
    assert!(!free.contains(&Check::DrumRun));
    // never a dead head on a helical rotor, whatever is known
    let helical = all(&dovecote_bend(), &[], &[]);
    assert!(!helical.contains(&Check::DeadHeadGauge) && !helical.is_empty());
}

/// A running check cannot be made on a pump that stands.
#[test]
fn a_standing_pump_gets_no_running_check() {
    let system = kestrel_hollow();
    let f = explain(&Case::new(&system).with_samples(&dry_signal())).unwrap();
    for code in codes(&f) {
        assert!(!model(code).unwrap().while_running(), "{code:?}");
    }
}

/// When answers have settled it, at most a check that confirms is left; a healthy system is left alone.
#[test]
fn a_good_enough_ranking_stops_asking() {
    let system = kestrel_hollow();
    let samples = running(&system, 1.0, |c| c.pump.rotation = Rotation::Reversed);
    let swap =
        made(Check::SwapTwoLeads, &[("flow_before_m3_h", number(0.0)), ("flow_after_m3_h", number(4.9))]);
    let case = Case {
        situation: Some(Situation::FirstStart),
        checks: &[swap],
        ..Case::new(&system).with_samples(&samples)
    };
    let f = explain(&case).unwrap();
    let first = f.leading().unwrap();
    assert!(first.code == Cause::ReversedRotation && first.probability > 0.9, "{first:?}");
    assert!(f.next_checks.len() <= 1, "{:?}", codes(&f));
    assert!(f.next_checks.iter().all(|n| n.why.as_ref().unwrap().id == "next.confirms"));
    let sound = explain(&Case::new(&system).with_samples(&in_the_sun(1.0))).unwrap();
    // some doubt is left, but none that is worth much
    assert!(sound.next_checks.iter().all(|n| n.cost <= 20.0), "{:?}", codes(&sound));
}
