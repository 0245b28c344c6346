//! Faults of the array and of what the record says of it.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::Flag;

use super::{damaged, full, near};
use crate::plant::plant::Plant;
use crate::plant::sun::Light;

const SUN: Light = Light { beam: 700.0, diffuse: 150.0, glass: 1.0 };

/// Current near short circuit and open-circuit voltage.
fn ends(plant: &Plant) -> (f64, f64) {
    let curve = plant.panels.curve(SUN, 45.0);
    (curve.current(0.3 * curve.open_v()), curve.open_v())
}

#[test]
fn dirt_costs_current_and_hardly_voltage() {
    damaged(Cause::Soiling, 25, |healthy, plant, severity| {
        let (a, b) = (ends(healthy), ends(plant));
        near(b.0 / a.0, 1.0 - severity.unwrap(), 0.06);
        assert!(b.1 < a.1 && b.1 > 0.93 * a.1, "{} {}", b.1, a.1);
        assert_eq!(plant.panels.substrings(), healthy.panels.substrings());
    });
}

#[test]
fn open_strings_take_their_share_of_current() {
    damaged(Cause::OpenString, 20, |healthy, plant, severity| {
        let count = |p: &Plant| p.panels.strings.iter().map(|s| s.1).sum::<usize>() as f64;
        assert_eq!(count(healthy) - count(plant), severity.unwrap());
        near(ends(plant).0 / ends(healthy).0, count(plant) / count(healthy), 0.01);
        near(ends(plant).1, ends(healthy).1, 1e-9);
    });
}

#[test]
fn shorted_diodes_take_substrings_out_of_the_voltage() {
    damaged(Cause::ShortedBypass, 30, |healthy, plant, severity| {
        let missing = healthy.panels.substrings() - plant.panels.substrings();
        assert_eq!(missing as f64, severity.unwrap());
        let best = |p: &Plant| p.panels.curve(SUN, 45.0).best(1.0).1;
        assert!(best(plant) < best(healthy));
        if plant.panels.strings.len() == 1 {
            let share = plant.panels.substrings() as f64 / healthy.panels.substrings() as f64;
            near(ends(plant).1 / ends(healthy).1, share, 1e-6);
        }
    });
}

#[test]
fn without_supply_rows_are_near_zero_or_silent_or_end() {
    let (mut silent, mut zero, mut ended) = (0, 0, 0);
    for case in full(Cause::NoDcSupply, 24) {
        assert!(case.truth.iter().all(|t| t.v <= 1.6 && t.a == 0.0 && t.rpm == 0.0 && t.flow == 0.0));
        let last = case.samples.last().unwrap();
        if last.flags.is_some_and(|f| f.has(Flag::CommsLost)) {
            silent += 1;
            assert!(case.samples.iter().all(|s| s.raw(Channel::ArrayV).is_none() && s.state.is_none()));
        } else {
            zero += 1;
            let ends = case.truth.last().unwrap().t < case.window.start + 0.9 * case.window.seconds;
            ended += usize::from(ends);
        }
    }
    assert!(silent > 1 && zero > 6 && ended > 0, "{silent} {zero} {ended}");
}

#[test]
fn another_array_than_the_record_s_differs_by_its_ratio() {
    let (mut by_volts, mut by_amps) = (0, 0);
    damaged(Cause::RecordMismatch, 80, |healthy, plant, severity| {
        // Tilt and azimuth are told by the recording.
        let Some(ratio) = severity else {
            assert!(plant.plane.tilt != healthy.plane.tilt || plant.plane.azimuth != healthy.plane.azimuth);
            return;
        };
        let (a, b) = (ends(healthy), ends(plant));
        let (amps, volts) = (b.0 / a.0, b.1 / a.1);
        if (volts / ratio - 1.0).abs() < 0.05 {
            by_volts += 1;
        } else {
            by_amps += 1;
            near(amps, ratio, 0.06);
        }
    });
    assert!(by_volts > 15 && by_amps > 8, "{by_volts} {by_amps}");
    for case in full(Cause::RecordMismatch, 12) {
        assert!((0.4..=2.0).contains(&case.severity.unwrap()), "{}: {:?}", case.name, case.severity);
    }
}
