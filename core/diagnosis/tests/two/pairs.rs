//! Two causes at once: told with both names where a pair explains clearly more, and not told elsewhere.

use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::record::{Drive, System};
use wellwright_physics::plant::{Plant, Shade};

use super::rows::running;

fn found(system: &System, checks: &[CheckMade], change: impl Fn(&mut Plant)) -> Finding {
    let samples = running(system, change);
    let finding = explain(&Case { checks, ..Case::new(system).with_samples(&samples) }).unwrap();
    let causes = finding.causes.iter().map(|c| c.probability);
    let sum: f64 = causes.chain(finding.pairs.iter().map(|p| p.probability)).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(finding.causes.windows(2).all(|w| w[0].probability >= w[1].probability));
    finding
}

fn summary(f: &Finding) -> String {
    let causes: Vec<_> = f.causes.iter().take(4).map(|c| (c.code, c.probability)).collect();
    format!("{causes:?} {:?}", f.pairs)
}

/// Flow near the highest speed, m3/h.
fn good_sun_m3_h(p: &Plant) -> f64 {
    wellwright_diagnosis::predict::reference_flow(p)
}

/// Told first of the pairs, with both names, and at least as probable as said.
fn both(f: &Finding, causes: [Cause; 2], at_least: f64) {
    let first = f.pairs.first().unwrap_or_else(|| panic!("{causes:?}: {}", summary(f)));
    assert!(causes.iter().all(|c| first.codes.contains(c)), "{causes:?}: {}", summary(f));
    assert!(first.probability > at_least, "{causes:?}: {}", summary(f));
    assert!(first.bits_over_best_single >= 5.0 && f.pairs.len() <= 3, "{causes:?}: {}", summary(f));
    assert_eq!(f.verdict, Verdict::Fault, "{causes:?}: {}", summary(f));
}

#[test]
fn a_leak_and_a_dirty_array() {
    let f = found(&kestrel_hollow(), &[], |p| {
        p.condition.water.riser_leak_m3_h = 0.45 * good_sun_m3_h(p);
        p.condition.array.current_ratio = 0.6;
    });
    both(&f, [Cause::RiserLeak, Cause::Soiling], 0.2);
}

fn bad_joint_and_worn(p: &mut Plant, ohm: f64) {
    p.condition.lead.one_lead_ohm = ohm;
    p.condition.pump.wear = 0.3;
}

#[test]
fn a_bad_joint_and_a_worn_pump() {
    // a drive whose currents follow the leads
    let mut system = kestrel_hollow();
    system.controller.drive = Some(Drive::SixStep);
    let f = found(&system, &[], |p| bad_joint_and_worn(p, 2.0));
    both(&f, [Cause::HighResistanceJoint, Cause::WornPump], 0.05);
}

#[test]
fn a_worn_pump_and_a_bad_joint_found_by_hand() {
    let ohms = [("uv_ohm", 3.1), ("vw_ohm", 4.1), ("wu_ohm", 4.12)];
    let answers = ohms.map(|(field, ohm)| (field.to_owned(), Answer::Number(ohm)));
    let made = CheckMade { check: Check::LeadResistance, at: None, answers: answers.into() };
    let f = found(&kestrel_hollow(), &[made], |p| bad_joint_and_worn(p, 1.0));
    both(&f, [Cause::HighResistanceJoint, Cause::WornPump], 0.2);
}

#[test]
fn shade_and_a_deeper_level() {
    let shade = Shade { share: 0.25, darkness: 0.2, gathered: false, right_peak: false };
    let f = found(&dovecote_bend(), &[], |p| {
        p.condition.array.shade = Some(shade);
        p.condition.water.static_deeper_m = 14.0;
    });
    both(&f, [Cause::PartialShade, Cause::StaticLevelDrop], 0.2);
}

#[test]
fn healthy_and_single_faults_are_no_pairs() {
    let changes: [fn(&mut Plant); 9] = [
        |_| {},
        |p| p.condition.water.riser_leak_m3_h = 0.4 * good_sun_m3_h(p),
        |p| p.condition.array.current_ratio = 0.7,
        |p| p.condition.pump.wear = 0.25,
        |p| p.condition.pump.blockage = 0.6,
        |p| p.condition.water.static_deeper_m = 8.0,
        |p| p.condition.lead.one_lead_ohm = 1.0,
        |p| p.condition.lead.drag = 0.4,
        |p| p.condition.water.riser_friction = 4.0,
    ];
    for system in [kestrel_hollow(), dovecote_bend()] {
        for (k, change) in changes.iter().enumerate() {
            let f = found(&system, &[], change);
            assert!(f.pairs.is_empty(), "{} {k}: {}", system.name, summary(&f));
        }
    }
}

#[test]
fn a_healthy_plant_off_its_record_is_no_pair() {
    let changes: [fn(&mut Plant); 4] = [
        |p| p.motor.ke_v_per_krpm *= 1.05,
        |p| p.condition.pump.size_ratio = 0.96,
        |p| p.condition.pump.efficiency_ratio = 0.94,
        |p| {
            p.water.well.static_m += 1.5;
            p.array.current_share *= 0.96;
            p.condition.water.drawdown_ratio = 1.3;
        },
    ];
    for system in [kestrel_hollow(), dovecote_bend()] {
        for (k, change) in changes.iter().enumerate() {
            let f = found(&system, &[], change);
            assert!(f.pairs.is_empty(), "{} {k}: {}", system.name, summary(&f));
        }
    }
}
