//! What hand checks alone must lead to: stop now, leave alone, or measure once more.

use wellwright_diagnosis::checks::model;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{DoFirst, Finding, Verdict};
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation};

use super::bench::{made, number, yes};
use super::published::in_the_sun;

fn by_hand(system: &System, noticed: &[Noticed], checks: &[CheckMade]) -> Finding {
    explain(&Case { noticed: Some(noticed), checks, ..Case::new(system) }).unwrap()
}

fn probability(f: &Finding, cause: Cause) -> f64 {
    f.causes.iter().find(|c| c.code == cause).map_or(0.0, |c| c.probability)
}

fn moves_the_pump(f: &Finding) -> bool {
    f.next_checks.iter().any(|n| model(n.code).is_some_and(|m| m.while_running() || m.starts_pump()))
}

fn display(state: PumpState, flags: Flags) -> CheckMade {
    made(Check::ControllerDisplay, &[("state", Answer::State(state)), ("flags", Answer::Flags(flags))])
}

/// Seen to run, sounded at the intake: it is stopped without telemetry too, whichever pump it is.
#[test]
fn a_pump_that_was_seen_to_run_dry_is_stopped() {
    for (system, depth, runs) in [
        (kestrel_hollow(), 59.9, made(Check::LookAndListen, &[("running", yes(true))])),
        (dovecote_bend(), 83.9, display(PumpState::Running, Flags::NONE)),
    ] {
        let sounded = made(Check::WaterLevelSounding, &[("depth_m", number(depth))]);
        let f = by_hand(&system, &[Noticed::NoWater, Noticed::Noise], &[runs, sounded]);
        assert_eq!(f.do_first, Some(DoFirst::StopNow), "{:?}", f.causes[0]);
        assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
    }
}

/// The dry signal holds and the sounder finds no water: nothing is offered that needs it to run.
#[test]
fn a_dry_well_is_not_proved_by_running_the_pump() {
    let stopped = display(PumpState::Stopped, Flags::NONE.with(Flag::DryProbe));
    let sounded = made(Check::RestingLevelSounding, &[("depth_m", number(59.5))]);
    let f = by_hand(&kestrel_hollow(), &[Noticed::NoWater], &[stopped, sounded]);
    assert!(probability(&f, Cause::DryRunning) > 0.8);
    assert_eq!(f.do_first, None, "it stands");
    assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
}

/// A gauge far above the column was read while it ran: a helical rotor pushes against something shut.
#[test]
fn a_gauge_says_that_it_runs() {
    let gauge = made(Check::WellheadGauge, &[("kpa", number(900.0))]);
    let f = by_hand(&dovecote_bend(), &[Noticed::NoWater], &[gauge]);
    assert_eq!(f.do_first, Some(DoFirst::StopNow), "{:?}", f.causes[0]);
    assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
    let clamps =
        made(Check::LeadCurrent, &[("u_a", number(0.0)), ("v_a", number(0.0)), ("w_a", number(0.0))]);
    let f = by_hand(&dovecote_bend(), &[Noticed::NoWater], &[clamps]);
    assert_eq!(f.do_first, None, "no current, no run");
}

/// A helical rotor is not started against something shut, nor whatever leaks to ground.
#[test]
fn what_stands_is_not_started_into_harm() {
    let stopped = display(PumpState::Tripped, Flags::NONE.with(Flag::OverCurrent));
    let shut = made(Check::ValvePosition, &[("all_open", yes(false))]);
    let f = by_hand(&dovecote_bend(), &[Noticed::NoWater], &[stopped.clone(), shut]);
    assert!(probability(&f, Cause::ClosedValve) > 0.5, "{:?}", f.causes[0]);
    assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
    // whatever else leads
    let leak = made(Check::InsulationResistance, &[("mohm", number(0.0)), ("test_v", number(500.0))]);
    let pairs = made(
        Check::LeadResistance,
        &[("uv_ohm", number(2.9)), ("vw_ohm", number(1e6)), ("wu_ohm", number(1e6))],
    );
    let f = by_hand(&kestrel_hollow(), &[Noticed::NoWater], &[stopped.clone(), pairs, leak]);
    assert!(probability(&f, Cause::OpenPhase) > 0.5, "{:?}", f.causes[0]);
    assert!(f.contradictions.iter().any(|c| c.id == "leak_to_ground"), "{:?}", f.contradictions);
    assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
    let leak = made(Check::InsulationResistance, &[("mohm", number(0.0)), ("test_v", number(500.0))]);
    let f = by_hand(&kestrel_hollow(), &[Noticed::NoWater], &[stopped, leak]);
    assert!(probability(&f, Cause::InsulationFault) > 0.5, "{:?}", f.causes[0]);
    assert!(!moves_the_pump(&f), "{:?}", f.next_checks);
}

/// Water that stands higher than the record has it is no sign of a dry well.
#[test]
fn more_water_never_speaks_for_less() {
    let stopped = display(PumpState::Stopped, Flags::NONE.with(Flag::DryProbe));
    let dry = |depth: f64| {
        let sounded = made(Check::RestingLevelSounding, &[("depth_m", number(depth))]);
        let f = by_hand(&kestrel_hollow(), &[], &[stopped.clone(), sounded]);
        probability(&f, Cause::DryRunning) + probability(&f, Cause::WellYieldLimit)
    };
    let as_recorded = dry(31.5);
    for depth in [25.0, 20.0, 10.0, 0.0] {
        assert!(dry(depth) < as_recorded + 0.05, "{depth} m: {} over {as_recorded}", dry(depth));
    }
    assert!(dry(55.0) > 0.9);
}

#[test]
fn a_dead_short_to_ground_is_a_leak_to_ground() {
    for mohm in [0.0, 0.0005, 0.002] {
        let tester = made(Check::InsulationResistance, &[("mohm", number(mohm)), ("test_v", number(500.0))]);
        let f = by_hand(&kestrel_hollow(), &[Noticed::NoWater], &[tester]);
        assert_eq!(f.causes[0].code, Cause::InsulationFault, "{mohm}");
        assert_eq!(f.verdict, Verdict::Fault);
    }
}

/// Milliohm for ohm, clips that touch, one open pair: no answer, and said.
#[test]
fn resistances_that_no_leads_have_are_left_out() {
    let leads = |[uv, vw, wu]: [f64; 3]| {
        let answers = [("uv_ohm", number(uv)), ("vw_ohm", number(vw)), ("wu_ohm", number(wu))];
        let checks = [made(Check::LeadResistance, &answers)];
        let situation = Some(Situation::InService);
        explain(&Case { checks: &checks, situation, ..Case::new(&kestrel_hollow()) }).unwrap()
    };
    for (pairs, id) in
        [([2900.0; 3], "another_unit"), ([0.0; 3], "another_unit"), ([2.9, 2.9, 1e6], "one_pair_open")]
    {
        let f = leads(pairs);
        assert_eq!(f.contradictions.iter().map(|c| c.id.as_str()).collect::<Vec<_>>(), [id]);
        assert_eq!(f.verdict, Verdict::TooLittle, "{pairs:?}");
        let told = f.causes.iter().flat_map(|c| &c.evidence);
        assert!(
            told.clone().count() > 0 && told.clone().all(|e| e.check.as_deref() != Some("lead_resistance"))
        );
    }
    let open = leads([2.9, 1e6, 1e6]);
    assert_eq!((open.causes[0].code, open.contradictions.len()), (Cause::OpenPhase, 0));
    assert_eq!(leads([1e6; 3]).causes[0].code, Cause::OpenPhase, "all of them may be open");
}

#[test]
fn a_check_of_another_year_is_left_out_and_said() {
    let (system, samples) = (kestrel_hollow(), in_the_sun(1.0));
    let bucket = |years: i64| CheckMade {
        at: Some(samples[0].at + chrono::TimeDelta::days(365 * years)),
        ..made(Check::BucketTest, &[("litres", number(0.0)), ("seconds", number(60.0))])
    };
    let of = |checks: &[CheckMade]| {
        explain(&Case { checks, ..Case::new(&system).with_samples(&samples) }).unwrap()
    };
    let (without, far, near) = (of(&[]), of(&[bucket(70)]), of(&[bucket(0)]));
    assert_eq!(far.contradictions[0].id, "another_time");
    assert_eq!(far.causes, without.causes);
    assert_ne!(near.causes, without.causes);
}

/// Modules counted: what differs is told with the ratio.
#[test]
fn a_count_that_differs_says_what_differs() {
    let counted = made(Check::RecordCount, &[("series", number(12.0))]);
    let f = by_hand(&kestrel_hollow(), &[], &[counted]);
    let c = f.causes.iter().find(|c| c.code == Cause::RecordMismatch).unwrap();
    let s = c.severity.as_ref().unwrap();
    assert_eq!(s.of.as_deref(), Some("series"));
    assert!((s.value - 1.2).abs() < 0.02 && s.interval[0] <= s.value && s.value <= s.interval[1], "{s:?}");
    assert!(c.probability > probability(&f, Cause::Healthy) && c.probability > 0.3);
}

/// The controller runs and flags a leak to ground: that is said, and tested for first.
#[test]
fn a_flag_over_a_running_pump_is_said() {
    let flagged: Vec<Sample> = in_the_sun(1.0)
        .into_iter()
        .map(|mut s| {
            s.flags = Some(Flags::NONE.with(Flag::GroundFault));
            s
        })
        .collect();
    let system = kestrel_hollow();
    let leak = |samples: &[Sample]| {
        let f = explain(&Case::new(&system).with_samples(samples)).unwrap();
        (probability(&f, Cause::InsulationFault), f)
    };
    let ((quiet, _), (told, f)) = (leak(&in_the_sun(1.0)), leak(&flagged));
    assert!(told > 5.0 * quiet, "{told} after {quiet}");
    assert_eq!(f.contradictions[0].id, "flag_while_running");
    assert!(f.next_checks.iter().any(|n| n.code == Check::InsulationResistance), "{:?}", f.next_checks);
}
