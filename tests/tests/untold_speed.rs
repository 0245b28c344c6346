//! A controller that tells no speed, or no array voltage: what else was measured still decides.

use chrono::TimeDelta;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;
use wellwright_physics::plant::{Condition, Plant};
use wellwright_physics::pump::Rotation;
use wellwright_tests::rows::{nearly_clear, noon, row};

/// Puts something wrong into a plant.
type Wrong = fn(&mut Condition);

/// Twenty minutes at noon of a plant in some condition, without what is not told.
fn rows(system: &System, of: Wrong, untold: &[Channel]) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    of(&mut plant.condition);
    let clear = clear_plane(&plant, noon(system)).unwrap();
    let row = |k: i64| {
        let at = noon(system) + TimeDelta::seconds(10 * k);
        let mut s = row(&plant, at, clear * nearly_clear(k), 25.0, 60.0 + k as f64 / 6.0);
        for channel in untold {
            s.set(*channel, None);
        }
        s
    };
    (0..120).map(row).collect()
}

fn found(system: &System, rows: &[Sample]) -> Finding {
    let case = Case { situation: Some(Situation::FirstStart), ..Case::new(system) };
    explain(&case.with_samples(rows)).unwrap()
}

#[test]
fn what_is_wrong_is_found_without_the_speed_or_the_array_voltage() {
    let reversed = |c: &mut Condition| c.pump.rotation = Rotation::Reversed;
    let broken = |c: &mut Condition| c.pump.uncoupled = true;
    let cases: [(System, Wrong, Cause); 4] = [
        (kestrel_hollow(), |_| {}, Cause::Healthy),
        (dovecote_bend(), |_| {}, Cause::Healthy),
        (kestrel_hollow(), reversed, Cause::ReversedRotation),
        (dovecote_bend(), broken, Cause::BrokenShaft),
    ];
    for (system, of, leads) in cases {
        for untold in [&[][..], &[Channel::MotorRpm], &[Channel::ArrayV], &[Channel::ArrayA]] {
            let finding = found(&system, &rows(&system, of, untold));
            let first = finding.leading().unwrap();
            let said =
                format!("{} without {untold:?}: {:?} {:.2}", system.name, first.code, first.probability);
            assert_eq!(first.code, leads, "{said}");
            assert!(first.probability > 0.5, "{said}");
            assert!(finding.window.used > 60, "{said}: {} rows used", finding.window.used);
        }
    }
}

#[test]
fn without_speed_and_power_nothing_tells_how_it_runs() {
    let system = kestrel_hollow();
    let blind = rows(&system, |_| {}, &[Channel::MotorRpm, Channel::ArrayA]);
    assert_eq!(found(&system, &blind).verdict, Verdict::TooLittle);
}
