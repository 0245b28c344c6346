//! A recording from a good day narrows what is not known of a system, and one that is not good is refused.

use chrono::TimeDelta;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::baseline::BaselineRefused;
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Noticed;
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::Pump;

use super::rows::running;

fn with(system: &System, samples: &[Sample], baseline: &[Sample]) -> Finding {
    told(&Case::new(system).with_samples(samples).with_baseline(baseline))
}

fn told(case: &Case) -> Finding {
    let finding = explain(case).unwrap();
    let causes = finding.causes.iter().map(|c| c.probability);
    let sum: f64 = causes.chain(finding.pairs.iter().map(|p| p.probability)).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    finding
}

fn probability(f: &Finding, cause: Cause) -> f64 {
    f.causes.iter().find(|c| c.code == cause).map_or(0.0, |c| c.probability)
}

fn summary(f: &Finding) -> String {
    let causes: Vec<_> = f.causes.iter().take(4).map(|c| (c.code, c.probability)).collect();
    format!("{causes:?} {:?}", f.baseline)
}

/// The same plant on another day.
fn another_day(mut samples: Vec<Sample>) -> Vec<Sample> {
    for s in &mut samples {
        s.at -= TimeDelta::days(200);
    }
    samples
}

/// Two sigma off its record in head, efficiency and magnets, all three to the same effect: less water, more power.
fn off_its_record(p: &mut Plant) {
    let head = 0.06;
    p.condition.pump.size_ratio *= match p.pump {
        Pump::Centrifugal(_) => 1.0 - head,
        Pump::Helical(_) => 1.0 - head * 2.0 / 3.0,
    };
    p.condition.pump.efficiency_ratio *= 0.92;
    p.motor.ke_v_per_krpm *= 0.94;
}

#[test]
fn a_system_off_its_record_is_healthy_when_it_was_always_so() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let now = running(&system, off_its_record);
        let then = another_day(running(&system, off_its_record));
        let case = Case { noticed: Some(&[Noticed::LessWater]), ..Case::new(&system).with_samples(&now) };
        let (without, known) = (told(&case), told(&case.clone().with_baseline(&then)));
        println!("{} without {}\nwith {}", system.name, summary(&without), summary(&known));
        let used = known.baseline.as_ref().unwrap();
        assert_eq!(used.refused, None, "{}", summary(&known));
        assert_eq!((used.rows, used.from), (then.len(), Some(then[0].at)));
        assert!(used.narrowed.iter().all(|n| n.left < 0.8) && !used.narrowed.is_empty(), "{used:?}");
        let (before, after) = (probability(&without, Cause::Healthy), probability(&known, Cause::Healthy));
        assert!(after > before + 0.02 && after > 0.7, "{before} {after}: {}", summary(&known));
    }
}

#[test]
fn a_little_wear_shows_beside_a_baseline() {
    let system = kestrel_hollow();
    let now = running(&system, |p| p.condition.pump.wear = 0.1);
    let then = another_day(running(&system, |_| {}));
    let noticed = [Noticed::LessWater];
    let case = Case { noticed: Some(&noticed), ..Case::new(&system).with_samples(&now) };
    let (without, known) = (told(&case), told(&case.clone().with_baseline(&then)));
    println!("without {}\nwith {}", summary(&without), summary(&known));
    let (before, after) = (probability(&without, Cause::WornPump), probability(&known, Cause::WornPump));
    assert!(after > 2.0 * before && after > 0.25, "{before} {after}: {}", summary(&known));
    assert_eq!(known.causes.iter().find(|c| c.code != Cause::Healthy).unwrap().code, Cause::WornPump);
    assert_eq!(without.verdict, Verdict::Healthy, "{}", summary(&without));
    assert_ne!(known.verdict, Verdict::Healthy, "{}", summary(&known));
}

#[test]
fn a_baseline_of_a_sick_system_is_refused() {
    let system = kestrel_hollow();
    let now = running(&system, |_| {});
    let alone = with(&system, &now, &[]);
    let sick = another_day(running(&system, |p| p.condition.pump.wear = 0.4));
    let mut still = another_day(running(&system, |_| {}));
    for s in &mut still {
        for c in Channel::ALL {
            s.set(c, None);
        }
    }
    for (baseline, refused) in
        [(sick, BaselineRefused::NotHealthy), (still, BaselineRefused::NothingToCompare)]
    {
        let f = with(&system, &now, &baseline);
        let told = f.baseline.clone().unwrap();
        assert_eq!(told.refused, Some(refused), "{}", summary(&f));
        assert!(told.narrowed.is_empty());
        assert_eq!(f.causes, alone.causes);
    }
}
