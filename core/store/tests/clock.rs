//! A clock that is set back, a time zone that changes, daylight saving: no row is lost or replaced.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use chrono::TimeDelta;
use support::{Temp, at, ever, finding, flows, frame, import, later, noon, reading, sample};
use wellwright_store::{Batch, Gap, NewRecord, NewSession, Reading};

#[test]
fn the_hour_that_comes_twice_in_autumn_is_kept_twice() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    // Central European Time, 25 October 2026: at 03:00 the clock goes back to 02:00.
    let summer = at("2026-10-25T02:30:00+02:00");
    let winter = at("2026-10-25T02:30:00+01:00");
    store.append(import(system, vec![reading(winter, 2.0), reading(summer, 1.0)])).unwrap().wait().unwrap();
    let (from, to) = ever();
    let rows = store.read(|r| r.readings(system, from, to)).unwrap();
    assert_eq!(flows(&store, system), [1.0, 2.0], "in the order in which they happened");
    assert_eq!(rows[1].sample.at - rows[0].sample.at, TimeDelta::hours(1));
    let written: Vec<String> = rows.iter().map(|r| r.sample.at.to_rfc3339()).collect();
    assert_eq!(written, ["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"]);
    // Asked for in another zone, the hour is the same stretch of time.
    let half = store.read(|r| r.readings(system, at("2026-10-25T00:00:00Z"), at("2026-10-25T01:00:00Z")));
    assert_eq!(half.unwrap().len(), 1);
}

#[test]
fn the_hour_that_is_left_out_in_spring_makes_no_hole() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let before = at("2026-03-29T01:59:59+01:00");
    let after = at("2026-03-29T03:00:00+02:00");
    store.append(import(system, vec![reading(before, 1.0), reading(after, 2.0)])).unwrap().wait().unwrap();
    let (from, to) = ever();
    let rows = store.read(|r| r.readings(system, from, to)).unwrap();
    assert_eq!(rows[1].sample.at - rows[0].sample.at, TimeDelta::seconds(1));
}

#[test]
fn the_same_instant_in_two_zones_is_one_instant() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let here = reading(at("2026-03-14T12:00:00+02:00"), 1.0);
    let there = reading(at("2026-03-14T05:00:00-05:00"), 1.0);
    store.append(import(system, vec![here])).unwrap().wait().unwrap();
    let again = store.append(import(system, vec![there])).unwrap().wait().unwrap();
    assert_eq!((again.readings, again.known), (0, 1));
}

#[test]
fn a_clock_set_back_keeps_both_passes() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let pass = |flow: f64| (0..60).map(|i| reading(later(i * 1000), flow + i as f64)).collect::<Vec<_>>();
    for flow in [0.0, 100.0, 200.0] {
        let done = store.append(import(system, pass(flow))).unwrap().wait().unwrap();
        assert_eq!((done.readings, done.known), (60, 0));
    }
    // A replay of each pass is still recognised.
    for flow in [200.0, 0.0, 100.0] {
        let done = store.append(import(system, pass(flow))).unwrap().wait().unwrap();
        assert_eq!((done.readings, done.known), (0, 60));
    }
    let flows = flows(&store, system);
    assert_eq!(flows.len(), 180);
    assert_eq!(flows[..6], [0.0, 100.0, 200.0, 1.0, 101.0, 201.0], "by instant, then by arrival");
}

#[test]
fn equal_rows_are_told_apart_by_the_controllers_own_time() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    // A stopped pump says the same again and again.
    let row = |device_ms: i64| Reading { sample: sample(noon(), 0.0), device_ms: Some(device_ms) };
    for (device_ms, expected) in [(1000, (1, 0)), (3_601_000, (1, 0)), (1000, (0, 1)), (3_601_000, (0, 1))] {
        let done = store.append(import(system, vec![row(device_ms)])).unwrap().wait().unwrap();
        assert_eq!((done.readings, done.known), expected, "{device_ms}");
    }
    assert_eq!(flows(&store, system).len(), 2);
}

#[test]
fn the_order_of_arrival_does_not_follow_the_clock() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let new = NewSession { system, source: "ble:DEMO-0001".into(), serial: None, at: noon() };
    let session = store.append_session(new).unwrap();
    let frames =
        vec![frame(later(5000), b"first"), frame(later(-3_600_000), b"second"), frame(later(0), b"third")];
    let gaps =
        vec![Gap { from: later(5000), to: later(-3_600_000), missing: None, reason: "clock_set".into() }];
    let batch = Batch::Live { session, frames, readings: vec![], gaps: gaps.clone() };
    store.append(batch).unwrap().wait().unwrap();
    let order: Vec<Vec<u8>> =
        store.read(|r| r.frames(session)).unwrap().into_iter().map(|f| f.bytes).collect();
    assert_eq!(order, [b"first".to_vec(), b"second".to_vec(), b"third".to_vec()]);
    assert_eq!(store.read(|r| r.gaps(session)).unwrap(), gaps);

    let record = |toml: &str, at| NewRecord { name: "Demo Hill".into(), toml: toml.into(), parent: None, at };
    store.save_record(system, record("a = 1\n", later(0))).unwrap();
    let second = store.save_record(system, record("a = 2\n", later(-86_400_000))).unwrap();
    assert_eq!(store.read(|r| r.latest_record(system)).unwrap(), Some(second));
    store.save_finding(system, finding(), later(0)).unwrap();
    let last = store.save_finding(system, finding(), later(-86_400_000)).unwrap();
    assert_eq!(store.read(|r| r.latest_finding(system)).unwrap().unwrap().id, last);
}
