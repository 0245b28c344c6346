//! Whole cases: energy, files, answers, and that the recording shows what its cause says.

use std::collections::BTreeMap;

use wellwright_domain::cause::Cause;
use wellwright_domain::files::checks::read_checks;
use wellwright_domain::files::telemetry::read_telemetry;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::lead_map::Parity;
use wellwright_domain::record::{PumpKind, System};

use crate::plant::case::{Site, draw_working, make_at, threshold};
use crate::plant::dice::Dice;
use crate::plant::faults::{self, Sun};
use crate::plant::window::{Wants, choose};
use crate::plant::{Case, Mix, Order, SensorSet, make};

fn order(seed: u64, index: u64) -> Order {
    Order { seed, index, ..Order::default() }
}

fn of(cause: Cause, n: u64) -> impl Iterator<Item = Case> {
    (0..n).map(move |index| make(&Order { cause: Some(cause), ..order(5, index) }))
}

#[test]
fn power_falls_along_the_chain_and_is_never_made() {
    for index in 0..30 {
        let case = make(&order(2, index));
        for t in &case.truth {
            for (k, w) in t.chain.windows(2).enumerate() {
                assert!(w[1] <= w[0] + 1e-6, "{} step {k}: {:?}", case.name, t.chain);
            }
            assert!(t.chain.iter().all(|p| *p >= 0.0), "{}: {:?}", case.name, t.chain);
            if t.chain[0] > 0.0 && t.t.rem_euclid(7.0) < 1.0 {
                let (_, best) = case.plant.panels.curve(t.light, t.cell_c).best(1.0);
                assert!(t.chain[1] <= 1.012 * best + 2.0, "{}: {} W of {best} W", case.name, t.chain[1]);
            }
            let sun = t.g * 1.8 * case.plant.panels.substrings() as f64 / 3.0;
            assert!(t.chain[0] < 0.26 * sun + 1.0, "{}: {} W of {sun} W", case.name, t.chain[0]);
        }
    }
}

#[test]
fn the_same_order_makes_the_same_case() {
    let (a, b, c) = (make(&order(3, 4)), make(&order(3, 4)), make(&order(4, 4)));
    assert_eq!(a.telemetry_csv(), b.telemetry_csv());
    assert_eq!(a.system, b.system);
    assert_ne!(a.telemetry_csv(), c.telemetry_csv());
}

#[test]
fn files_read_back() {
    for index in 0..30 {
        let case = make(&order(8, index));
        let system = System::from_toml(&case.system_toml().unwrap(), "case").unwrap();
        assert_eq!(system, case.system);
        let read = read_telemetry(case.telemetry_csv().as_bytes(), "case").unwrap();
        assert_eq!(read.samples.len(), case.samples.len(), "{}", case.name);
        for (a, b) in read.samples.iter().zip(&case.samples) {
            assert_eq!((a.state, a.flags), (b.state, b.flags));
            for i in &case.panel.instruments {
                match (a.raw(i.channel), b.raw(i.channel)) {
                    (Some(x), Some(y)) => assert!((x - y).abs() <= 0.51 * i.step.min(0.1), "{x} {y}"),
                    (x, y) => assert_eq!(x, y),
                }
            }
        }
        let checks = read_checks(&case.checks_toml(), "case").unwrap();
        assert_eq!(checks.situation, Some(case.circumstances.situation));
        assert_eq!(case.answer().split(',').count(), 5);
    }
}

#[test]
fn a_uniform_set_holds_every_cause_with_every_set_of_sensors() {
    let all = faults::ALL.len() as u64;
    let mut seen = BTreeMap::new();
    for index in 0..3 * all {
        let case = make(&order(1, index));
        *seen.entry((case.cause, case.sensors.word())).or_insert(0) += 1;
    }
    // Irradiance, level and pressure come only with the full set, flow with two.
    assert_eq!(seen.len(), 3 * faults::ALL.len() - 7);
    let per_cause = |cause: Cause| seen.iter().filter(|((c, _), _)| *c == cause).map(|(_, n)| n).sum::<i32>();
    assert!(faults::ALL.iter().all(|f| per_cause(f.cause) == 3));
}

#[test]
fn sensors_of_a_set_are_in_record_and_recording() {
    for sensors in SensorSet::ALL {
        let case = make(&Order { sensors: Some(sensors), ..order(6, 0) });
        let header = case.telemetry_csv().lines().next().unwrap().to_owned();
        let has = |c: &str| header.split(',').any(|h| h == c);
        assert!(has("array_v") && has("array_a") && has("motor_rpm"));
        assert_eq!(has("phase_v_a"), sensors != SensorSet::Lean);
        assert_eq!(has("flow_m3_h"), case.system.sensors.flow_m3_h.is_some());
        assert_eq!(has("irradiance_w_m2"), sensors == SensorSet::Full);
        assert_eq!(case.system.sensors.water_level_m.is_some(), sensors == SensorSet::Full);
    }
}

#[test]
fn healthy_cases_run_and_lift_and_never_trip() {
    for case in of(Cause::Healthy, 25) {
        let running = case.truth.iter().filter(|t| t.state == PumpState::Running).count();
        assert!(case.truth.iter().all(|t| t.state != PumpState::Tripped), "{}", case.name);
        assert!(running * 5 > case.truth.len(), "{}: {running} of {}", case.name, case.truth.len());
        let most = case.truth.iter().map(|t| t.flow).fold(0.0, f64::max);
        assert!(most > 0.1, "{} lifts {most}", case.name);
    }
}

#[test]
fn low_sun_and_stand_by_look_like_it() {
    for case in of(Cause::LowSun, 12) {
        let full = case.healthy.settled_flow(900.0, 25.0) * 3600.0;
        let mean = case.truth.iter().map(|t| t.flow).sum::<f64>() / case.truth.len() as f64;
        assert!(mean < 0.12 * full, "{}: {mean} of {full}", case.name);
    }
    for case in of(Cause::StandingBy, 12) {
        assert_eq!(case.truth.last().unwrap().state, PumpState::Stopped, "{}", case.name);
    }
}

#[test]
fn dry_wells_give_next_to_nothing_and_probes_say_so() {
    for case in of(Cause::DryRunning, 15) {
        let full = case.healthy.settled_flow(900.0, 25.0) * 3600.0;
        let half = &case.truth[case.truth.len() / 2..];
        let mean = half.iter().map(|t| t.flow).sum::<f64>() / half.len() as f64;
        assert!(mean < 0.2 * full, "{}: {mean} of {full}", case.name);
        let stopped = half.iter().filter(|t| t.flags.has(Flag::DryProbe)).count();
        if case.plant.probe.is_none() {
            assert_eq!(stopped, 0);
        }
    }
}

#[test]
fn no_more_water_is_pumped_than_the_well_gives() {
    for cause in [Cause::DryRunning, Cause::WellYieldLimit] {
        for case in of(cause, 12) {
            let (first, last) = (&case.truth[0], case.truth.last().unwrap());
            let well = &case.plant.well;
            let gives = if well.most.is_finite() { well.most * (last.t - first.t) } else { 0.0 };
            let stood = well.area * (well.intake - first.depth).max(0.0);
            let pumped = last.volume - first.volume;
            assert!(pumped <= 1.12 * (gives + stood) + 0.02, "{}: {pumped} of {gives} + {stood}", case.name);
        }
    }
}

#[test]
fn an_open_lead_shows_one_current_at_zero() {
    for case in of(Cause::OpenPhase, 12) {
        let open = case.plant.motor.open.unwrap();
        assert!(case.truth.iter().all(|t| t.phases[open] == 0.0 && t.flow == 0.0), "{}", case.name);
    }
}

#[test]
fn written_lead_maps_mostly_tell_the_direction() {
    let wrong = |cause: Cause, parity: Parity| {
        of(cause, 40).filter(|c| c.system.cable.parity() == Some(parity)).count()
    };
    let hidden = wrong(Cause::ReversedRotation, Parity::Even);
    let false_alarm = wrong(Cause::UndersizedDropCable, Parity::Odd);
    assert!(hidden <= 10 && false_alarm <= 10, "{hidden} {false_alarm}");
}

#[test]
fn priors_mix_is_mostly_healthy() {
    let cases: Vec<_> = (0..60).map(|index| make(&Order { mix: Mix::Priors, ..order(9, index) })).collect();
    let healthy = cases.iter().filter(|c| c.cause == Cause::Healthy).count();
    assert!((20..=55).contains(&healthy), "{healthy} of 60");
    assert!(cases.iter().any(|c| c.kind == PumpKind::HelicalRotor));
}

#[test]
fn severities_lie_in_the_contract_s_range_and_causes_apply() {
    for (k, fault) in faults::ALL.iter().enumerate() {
        for index in 0..4 {
            let case = make(&Order { cause: Some(fault.cause), ..order(12 + k as u64, index) });
            let has = |channel| case.panel.instruments.iter().any(|i| i.channel == channel);
            assert!(fault.cause.applies(&case.system, has), "{}", case.name);
            match (&fault.cause.info().severity, case.severity) {
                (Some(info), Some(s)) => {
                    assert!(s >= info.low - 1e-9 && s <= info.high + 1e-9, "{}: {s}", case.name);
                }
                (None, None) => {}
                (info, s) => panic!("{}: {info:?} {s:?}", case.name),
            }
        }
    }
}

#[test]
fn a_system_number_gives_the_same_system_whatever_the_cause() {
    let of = |number, index, cause| make(&Order { system: Some(number), cause, ..order(21, index) });
    let a = of(5, 0, None);
    for (index, cause) in [(1, None), (2, Some(Cause::ClockError)), (3, Some(Cause::Soiling))] {
        let b = of(5, index, cause);
        assert_eq!((&a.system.name, a.family), (&b.system.name, b.family));
        assert_eq!(a.healthy.motor.ke, b.healthy.motor.ke);
        assert_ne!(a.window.start, b.window.start);
    }
    assert_ne!(of(6, 0, None).system.name, a.system.name);
}

#[test]
fn priors_draw_unknown_causes_too() {
    let cases: Vec<_> = (0..120).map(|index| make(&Order { mix: Mix::Priors, ..order(15, index) })).collect();
    let kinds: std::collections::BTreeSet<_> = cases.iter().map(|c| c.cause).collect();
    assert!(kinds.len() > 15, "{kinds:?}");
    assert!(cases.iter().any(|c| c.cause == Cause::Unknown && c.outside.is_some()));
}

#[test]
fn a_site_keeps_its_record_and_draws_the_rest_anew() {
    let mut dice = Dice::new(33, 1, 2);
    let (drawn, plant, family) = draw_working(&mut dice);
    let wants = Wants {
        plant: &plant,
        threshold: threshold(&plant),
        sun: Sun::Enough,
        stand_by: None,
        starts: 0.5,
        offset_h: drawn.offset_h,
        air_c: drawn.air_c,
    };
    let site = Site { window: choose(&wants, &mut dice).unwrap(), drawn, family };
    let of = |index| make_at(&site, &Order { cause: Some(Cause::Healthy), ..order(34, index) });
    let cases: Vec<Case> = (0..12).filter_map(of).collect();
    assert!(cases.len() > 3, "{}", cases.len());
    for case in &cases {
        assert_eq!(case.system.name, site.drawn.system.name);
        assert!((case.window.start - site.window.start).abs() <= 5400.0);
    }
    assert_ne!(cases[0].healthy.motor.ke, cases[1].healthy.motor.ke);
}
