//! One sensor that reads nothing, or lies where no weather could put it, while all others say that the pump works: it
//! is pointed out, and no part of the plant is blamed.

use chrono::TimeDelta;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::{Finding, Regime};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;
use wellwright_physics::plant::{ArrayCondition, Plant};
use wellwright_tests::rows::{nearly_clear, noon, row};

/// Twenty minutes at noon of a healthy plant in the air of the month, one sensor reading the same all the time.
fn rows(system: &System, stuck: Option<(Channel, f64)>) -> Vec<Sample> {
    let (plant, _) = Plant::from_record(system).unwrap();
    let clear = clear_plane(&plant, noon(system)).unwrap();
    let of = |k: i64| {
        let at = noon(system) + TimeDelta::seconds(10 * k);
        let mut s = row(&plant, at, clear * nearly_clear(k), 25.0, 60.0 + k as f64 / 6.0);
        if let Some((channel, reads)) = stuck {
            s.set(channel, Some(reads));
        }
        s
    };
    (0..120).map(of).collect()
}

fn found(system: &System, rows: &[Sample]) -> Finding {
    let case = Case { situation: Some(Situation::InService), ..Case::new(system) };
    explain(&case.with_samples(rows)).unwrap()
}

fn refuted(finding: &Finding) -> Vec<&str> {
    finding.contradictions.iter().filter(|c| c.id == "refuted").map(|c| c.between[0].as_str()).collect()
}

#[test]
fn a_dead_sensor_is_no_fault_of_the_plant() {
    let dead = [
        (Channel::PhaseUA, 0.0, Cause::Healthy),
        (Channel::PhaseWA, 0.01, Cause::Healthy),
        (Channel::OutputV, 0.0, Cause::Healthy),
        (Channel::ModuleC, -20.0, Cause::Healthy),
        (Channel::ModuleC, 0.0, Cause::Healthy),
        (Channel::IrradianceWM2, 0.0, Cause::IrradianceSensorError),
        (Channel::IrradianceWM2, 60.0, Cause::IrradianceSensorError),
    ];
    for system in [kestrel_hollow(), dovecote_bend()] {
        for (channel, reads, leads) in dead {
            let finding = found(&system, &rows(&system, Some((channel, reads))));
            let first = finding.leading().unwrap();
            let said =
                format!("{} {channel:?} {reads}: {:?} {:.2}", system.name, first.code, first.probability);
            assert_eq!(refuted(&finding), [channel.code()], "{said}");
            assert_eq!(first.code, leads, "{said}");
            assert!(first.probability > 0.5, "{said}");
        }
    }
}

#[test]
fn a_sound_sensor_is_not_refuted() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        assert!(refuted(&found(&system, &rows(&system, None))).is_empty(), "{}", system.name);
    }
}

/// A lead that carries nothing while no water comes may well be open.
#[test]
fn without_water_a_lead_without_current_stands() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let mut open = rows(&system, Some((Channel::PhaseVA, 0.0)));
        for s in &mut open {
            s.set(Channel::FlowM3H, Some(0.0));
            s.set(Channel::WellheadKpa, Some(0.0));
        }
        let finding = found(&system, &open);
        assert!(refuted(&finding).is_empty(), "{}", system.name);
        assert_ne!(finding.leading().unwrap().code, Cause::Healthy, "{}", system.name);
    }
}

/// What a limit holds lies anywhere on the curve, but no array gives more than its light holds.
#[test]
fn an_array_at_a_limit_refutes_too_little_light() {
    let mut limited = 0;
    for system in [kestrel_hollow(), dovecote_bend()] {
        let mut rows = rows(&system, None);
        let regime = found(&system, &rows).regime;
        let sound = found(&system, &rows).leading().unwrap().code;
        assert_eq!(sound, Cause::Healthy, "{}", system.name);
        if regime == Regime::SunLimited {
            continue;
        }
        limited += 1;
        let (plant, _) = Plant::from_record(&system).unwrap();
        let watts = |s: &Sample| s.get(Channel::ArrayV).unwrap() * s.get(Channel::ArrayA).unwrap();
        for s in &mut rows {
            // a fifth short of what the power needs
            let full = plant.array.curve(1000.0, 55.0, &ArrayCondition::default()).best().p;
            let reads = 1000.0 * watts(s) / full / 1.25;
            s.set(Channel::IrradianceWM2, Some(reads));
        }
        let finding = found(&system, &rows);
        let p = |cause| finding.causes.iter().find(|c| c.code == cause).unwrap().probability;
        let (wrong, healthy) = (p(Cause::IrradianceSensorError), p(Cause::Healthy));
        assert!(wrong > healthy, "{}: {wrong} {healthy}", system.name);
    }
    assert!(limited > 0, "no case");
}
