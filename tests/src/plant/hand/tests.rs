//! Answers are of the kind the contract asks for, lie near the truth, and are withheld where a check is impossible.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade, FieldKind};
use wellwright_domain::record::PumpKind;

use super::{answer, dice};
use crate::plant::{Case, Order, SensorSet, faults, make};

fn case(cause: Cause, index: u64) -> Case {
    let sensors = Some(SensorSet::Full);
    make(&Order { seed: 77, index, cause: Some(cause), sensors, ..Order::default() })
}

fn ask(case: &Case, check: Check) -> Option<CheckMade> {
    answer(case, check, &mut dice(case, check as u64))
}

/// The first of some cases whose answer to a check exists.
fn first(cause: Cause, check: Check, wanted: impl Fn(&Case) -> bool) -> (Case, CheckMade) {
    (0..60)
        .map(|i| case(cause, i))
        .filter(|c| wanted(c))
        .find_map(|c| ask(&c, check).map(|a| (c, a)))
        .expect("one of sixty can be answered")
}

fn fits(kind: &FieldKind, value: &Answer) -> bool {
    match (kind, value) {
        (FieldKind::Number(_), Answer::Number(x)) => x.is_finite(),
        (FieldKind::List(_), Answer::List(x)) => {
            !x.is_empty() && x.iter().all(|x| x.is_finite() && *x >= 0.0)
        }
        (FieldKind::Word(words), Answer::Word(w)) => words.contains(w),
        (FieldKind::Bool, Answer::Bool(_))
        | (FieldKind::State, Answer::State(_))
        | (FieldKind::Flags, Answer::Flags(_))
        | (FieldKind::Cause, Answer::Cause(_)) => true,
        _ => false,
    }
}

#[test]
fn every_answer_has_the_fields_of_the_contract_and_lies_in_the_window() {
    let mut answered = 0;
    for (i, fault) in faults::ALL.iter().enumerate() {
        let case = case(fault.cause, i as u64);
        let first = case.truth[0].t;
        let last = case.truth[case.truth.len() - 1].t;
        for check in Check::ALL {
            let Some(made) = ask(&case, *check) else { continue };
            answered += 1;
            for (field, value) in &made.answers {
                let known = check.info().fields.iter().find(|(name, _)| name == field);
                let (_, kind) = known.unwrap_or_else(|| panic!("{}: {field}", check.code()));
                assert!(fits(kind, value), "{} {}: {field} = {value:?}", case.name, check.code());
            }
            let at = made.at.unwrap().timestamp_millis() as f64 / 1000.0;
            assert!(at >= first - 1.0 && at <= last + 1.0, "{} {}", case.name, check.code());
            assert_eq!(Some(made), ask(&case, *check), "the same case gives the same answer");
        }
    }
    assert!(answered > 15 * faults::ALL.len(), "{answered} answers");
}

#[test]
fn the_pump_hangs_in_the_well_and_a_rotor_is_never_dead_headed() {
    for i in 0..12 {
        let case = case(Cause::Healthy, i);
        assert_eq!(ask(&case, Check::DrumRun), None);
        if case.kind == PumpKind::HelicalRotor {
            assert_eq!(ask(&case, Check::DeadHeadGauge), None);
        }
    }
}

#[test]
fn an_open_lead_leaves_two_pairs_open() {
    let case = case(Cause::OpenPhase, 3);
    let made = ask(&case, Check::LeadResistance).unwrap();
    let open = ["uv_ohm", "vw_ohm", "wu_ohm"].iter().filter(|f| made.number(f) == Some(1e6)).count();
    assert_eq!(open, 2);
}

#[test]
fn bucket_and_truth_agree_and_a_shut_valve_gives_nothing() {
    let (case, made) = first(Cause::Healthy, Check::BucketTest, |_| true);
    let flow = 3.6 * made.number("litres").unwrap() / made.number("seconds").unwrap();
    let truth = super::moment::Moment::running(&case).unwrap().truth().flow;
    assert!((flow / truth - 1.0).abs() < 0.25, "{flow} {truth}");
    let (_, made) = first(Cause::ClosedValve, Check::BucketTest, |c| c.severity == Some(0.0));
    assert_eq!(made.number("litres"), Some(0.0));
}

#[test]
fn exchanged_leads_bring_the_water_of_a_reversed_pump() {
    let (_, made) = first(Cause::ReversedRotation, Check::SwapTwoLeads, |c| c.kind == PumpKind::Centrifugal);
    let (before, after) = (made.number("flow_before_m3_h").unwrap(), made.number("flow_after_m3_h").unwrap());
    assert!(after > 1.3 * before + 0.1, "{before} {after}");
    let (_, made) = first(Cause::Healthy, Check::SwapTwoLeads, |_| true);
    assert!(made.number("flow_after_m3_h") < made.number("flow_before_m3_h"));
}

#[test]
fn a_pump_that_stands_cannot_be_measured_running() {
    let still = (0..40)
        .map(|i| case(Cause::StandingBy, i))
        .find(|c| c.truth.iter().all(|t| t.state != wellwright_domain::flags::PumpState::Running));
    let still = still.expect("one of forty stands all the time");
    for check in [Check::BucketTest, Check::WellheadGauge, Check::LeadCurrent, Check::SwapTwoLeads] {
        assert_eq!(ask(&still, check), None, "{}", check.code());
    }
}

#[test]
fn the_resting_level_is_that_of_the_well() {
    let (case, made) = first(Cause::Healthy, Check::RestingLevelSounding, |_| true);
    let depth = made.number("depth_m").unwrap();
    let well = &case.plant.well;
    assert!(depth > well.rest - 0.1 && depth < well.rest + 0.5 * (well.intake - well.rest), "{depth}");
}
