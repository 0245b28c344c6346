//! Checks made at another time than the recording: they count in the order of their times, and are held against the sun
//! and the speed of their own moment.

use chrono::TimeDelta;
use wellwright_diagnosis::checks::{CheckModel, model};
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::finding::Finding;
use wellwright_domain::situation::Noticed;

use super::bench::{made, number, yes};
use super::published::{in_the_sun, running};

/// So many minutes after the last row.
fn after(minutes: i64, check: CheckMade) -> CheckMade {
    let last = in_the_sun(1.0).last().unwrap().at;
    CheckMade { at: Some(last + TimeDelta::minutes(minutes)), ..check }
}

fn found(checks: &[CheckMade]) -> Finding {
    let (system, samples) = (kestrel_hollow(), in_the_sun(1.0));
    explain(&Case { checks, ..Case::new(&system).with_samples(&samples) }).unwrap()
}

#[test]
fn a_pump_seen_to_stand_later_gets_no_running_check() {
    let of_running = |f: &Finding| {
        f.next_checks.iter().filter(|n| model(n.code).is_some_and(CheckModel::while_running)).count()
    };
    let look = |runs: bool| after(60, made(Check::LookAndListen, &[("running", yes(runs))]));
    // a worn pump that no sensor of the water shows, so that there is something to ask
    let (system, mut samples) = (kestrel_hollow(), running(&kestrel_hollow(), 1.0, |c| c.pump.wear = 0.4));
    for s in &mut samples {
        for c in [Channel::FlowM3H, Channel::WellheadKpa, Channel::WaterLevelM] {
            s.set(c, None);
        }
    }
    let noticed = [Noticed::LessWater];
    let of = |checks: &[CheckMade]| {
        let case = Case { checks, noticed: Some(&noticed), ..Case::new(&system).with_samples(&samples) };
        explain(&case).unwrap()
    };
    assert!(of_running(&of(&[look(true)])) > 0);
    assert_eq!(of_running(&of(&[look(false)])), 0);
}

#[test]
fn answers_count_in_the_order_of_their_times() {
    let megohm = |minutes, mohm| after(minutes, made(Check::InsulationResistance, &[("mohm", number(mohm))]));
    let (before, repaired) = (megohm(30, 0.05), megohm(150, 50.0));
    let [listed, the_other_way] = [[before.clone(), repaired.clone()], [repaired, before]].map(|c| found(&c));
    assert_eq!(listed.next_checks, the_other_way.next_checks);
    assert_eq!(listed.contradictions, the_other_way.contradictions);
    assert!(listed.contradictions.iter().all(|c| c.id != "leak_to_ground"), "it was repaired");
}

#[test]
fn water_of_another_hour_accuses_nothing() {
    let metered = in_the_sun(1.0).last().unwrap().get(Channel::FlowM3H).unwrap();
    let bucket = |minutes| {
        let seconds = 72.0 / (0.4 * metered);
        after(minutes, made(Check::BucketTest, &[("litres", number(20.0)), ("seconds", number(seconds))]))
    };
    let healthy = |f: &Finding| f.causes.iter().find(|c| c.code == Cause::Healthy).unwrap().probability;
    let (now, evening) = (healthy(&found(&[bucket(1)])), healthy(&found(&[bucket(240)])));
    assert!(now < 0.5 && evening > 0.7, "{now:.3} within the minute, {evening:.3} four hours later");
}
