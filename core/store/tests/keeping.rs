//! What is written comes back, nothing is written twice, and nothing is overwritten.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use std::collections::BTreeMap;
use std::sync::mpsc;
use std::time::Duration;

use support::{Temp, at, ever, finding, flows, frame, import, later, noon, reading, sample};
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::sample::Sample;
use wellwright_store::{
    Batch, Committed, Gap, NewRecord, NewSession, Options, Reader, Reading, SessionId, Store, StoreError,
    SystemId, record_hash,
};

fn session(store: &Store, system: SystemId) -> SessionId {
    let new =
        NewSession { system, source: "ble:DEMO-0001".into(), serial: Some("DEMO-0001".into()), at: noon() };
    store.append_session(new).unwrap()
}

#[test]
fn a_live_batch_comes_back_after_reopening() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let session = session(&store, system);
    let mut full = Sample::new(later(250));
    for (i, channel) in Channel::ALL.into_iter().enumerate() {
        full.set(channel, Some(i as f64 * 1.1 - 3.0));
    }
    full.state = Some(PumpState::Tripped);
    full.flags = Some(Flags::from_bits(u16::MAX));
    let empty = Sample::new(later(500));
    let frames = vec![frame(later(1), &[1, 2, 3]), frame(later(2), &[])];
    let gaps = vec![Gap { from: later(3), to: later(900), missing: Some(7), reason: "link_lost".into() }];
    let readings = vec![Reading { sample: full.clone(), device_ms: Some(77) }, Reading::from(empty.clone())];
    let batch = Batch::Live { session, frames: frames.clone(), readings, gaps: gaps.clone() };
    let done = store.append(batch).unwrap().wait().unwrap();
    assert_eq!(done, Committed { readings: 2, known: 0, frames: 2, gaps: 1 });
    store.end_session(session, later(1000), "finished").unwrap();
    store.end_session(session, later(9000), "twice").unwrap();
    store.close();

    let store = temp.open();
    let (from, to) = ever();
    let rows = store.read(|r| r.readings(system, from, to)).unwrap();
    assert_eq!(rows.len(), 2);
    assert_eq!((&rows[0].sample, rows[0].device_ms), (&full, Some(77)));
    assert_eq!((&rows[1].sample, rows[1].device_ms), (&empty, None));
    assert_eq!(rows[0].sample.at.offset().local_minus_utc(), 2 * 3600);
    assert_eq!((rows[0].source.as_str(), rows[0].session), ("ble:DEMO-0001", Some(session)));
    assert_eq!(store.read(|r| r.frames(session)).unwrap(), frames);
    assert_eq!(store.read(|r| r.gaps(session)).unwrap(), gaps);
    assert_eq!(store.read(|r| r.latest_reading(system)).unwrap().unwrap().sample, empty);
    let sessions = store.read(|r| r.sessions(system)).unwrap();
    assert_eq!(sessions[0].ended, Some(later(1000)));
    assert_eq!(sessions[0].end_reason.as_deref(), Some("finished"), "the first end stays");
}

#[test]
fn a_range_holds_its_start_and_not_its_end() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let other = store.add_system("Other Hill", noon()).unwrap();
    let rows = (0..5).map(|i| reading(later(i * 1000), i as f64)).collect();
    store.append(import(system, rows)).unwrap().wait().unwrap();
    store.append(import(other, vec![reading(later(1000), 99.0)])).unwrap().wait().unwrap();
    let rows = store.read(|r| r.readings(system, later(1000), later(3000))).unwrap();
    let flows: Vec<f64> = rows.iter().map(|r| r.sample.raw(Channel::FlowM3H).unwrap()).collect();
    assert_eq!(flows, [1.0, 2.0]);
}

#[test]
fn a_replay_adds_nothing() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let rows: Vec<Reading> = (0..50).map(|i| reading(later(i * 1000), i as f64)).collect();
    let mut with_nan = rows.clone();
    with_nan[3].sample.set(Channel::AirC, Some(f64::NAN));
    let first = store.append(import(system, with_nan.clone())).unwrap().wait().unwrap();
    assert_eq!((first.readings, first.known), (50, 0));
    let second = store.append(import(system, with_nan)).unwrap().wait().unwrap();
    assert_eq!((second.readings, second.known), (0, 50));
    let elsewhere = Batch::Import { system, source: "typed".into(), readings: rows };
    assert_eq!(
        store.append(elsewhere).unwrap().wait().unwrap().readings,
        50,
        "another source is another row"
    );
}

#[test]
fn implausible_values_are_kept() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let odd = sample(noon(), -4000.0).with(Channel::ArrayV, f64::INFINITY).with(Channel::AirC, f64::NAN);
    store.append(import(system, vec![odd.into()])).unwrap().wait().unwrap();
    let back = store.read(|r| r.latest_reading(system)).unwrap().unwrap().sample;
    assert_eq!(back.raw(Channel::FlowM3H), Some(-4000.0));
    assert_eq!(back.get(Channel::FlowM3H), None);
    assert_eq!(back.raw(Channel::ArrayV), Some(f64::INFINITY));
    assert_eq!(back.raw(Channel::AirC), None, "no number is not known");
}

#[test]
fn records_are_versions() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.system_named("Demo Hill", noon()).unwrap();
    assert_eq!(store.system_named("Demo Hill", later(1)).unwrap(), system);
    let save = |name: &str, toml: &str, parent: Option<String>| {
        let record = NewRecord { name: name.into(), toml: toml.into(), parent, at: noon() };
        store.save_record(system, record).unwrap()
    };
    let a = save("Demo Hill", "a = 1\n", None);
    let again = save("Demo Hill", "a = 1\n", None);
    assert_eq!(a, again, "the same text again is no new version");
    let b = save("Demo Ridge", "a = 2\n", Some(a.hash.clone()));
    let back = save("Demo Hill", "a = 1\n", Some(b.hash.clone()));
    assert_eq!(a.hash, back.hash);
    assert_ne!(a.id, back.id, "going back is a version of its own");
    let versions = store.read(|r| r.record_versions(system)).unwrap();
    assert_eq!(versions, [a.clone(), b.clone(), back.clone()]);
    assert_eq!(store.read(|r| r.latest_record(system)).unwrap(), Some(back));
    assert_eq!(a.device_uid, b.device_uid);
    assert_eq!(a.device_uid.len(), 36);
    // BLAKE3 of no bytes: test_vectors.json of the reference implementation, input_len 0.
    assert_eq!(record_hash(""), "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262");

    save("Demo Ridge", "a = 3\n", None);
    let systems = store.read(Reader::systems).unwrap();
    assert_eq!(systems.len(), 1);
    assert_eq!(systems[0].name, "Demo Ridge", "the name is that of the latest version");
    assert_eq!(systems[0].record_hash, Some(record_hash("a = 3\n")));
    assert_eq!(store.system_named("Demo Ridge", noon()).unwrap(), system);
    assert_ne!(store.system_named("Demo Hill", noon()).unwrap(), system);
}

#[test]
fn checks_and_findings_come_back() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let answers = BTreeMap::from([
        ("litres".to_owned(), Answer::Number(20.0)),
        ("place".to_owned(), Answer::Word("outlet".into())),
    ]);
    let dated = CheckMade { check: Check::BucketTest, at: Some(later(5)), answers };
    let undated = CheckMade { at: None, ..dated.clone() };
    store.save_check(system, dated.clone(), later(60_000)).unwrap();
    store.save_check(system, undated.clone(), later(60_000)).unwrap();
    assert_eq!(store.read(|r| r.checks(system)).unwrap(), [dated, undated]);

    assert_eq!(store.read(|r| r.latest_finding(system)).unwrap(), None);
    let first = finding();
    let mut second = finding();
    // Needs the exact reading of decimal numbers: one bit off would be another finding.
    second.causes[0].probability = 0.1 + 0.2;
    store.save_finding(system, first.clone(), later(1000)).unwrap();
    let id = store.save_finding(system, second.clone(), later(0)).unwrap();
    let latest = store.read(|r| r.latest_finding(system)).unwrap().unwrap();
    assert_eq!(
        (latest.id, latest.finding, latest.created),
        (id, second, later(0)),
        "last saved, not last by clock"
    );
    let all = store.read(|r| r.findings(system)).unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].finding, first);
}

#[test]
fn what_cannot_be_kept_is_refused_in_words() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let mut odd = finding();
    odd.causes[0].probability = f64::NAN;
    let refused = store.save_finding(system, odd, noon()).unwrap_err();
    assert!(matches!(refused, StoreError::NotStorable { what: "finding", .. }), "{refused}");
    let nowhere = SystemId(99);
    let refused = store.append(import(nowhere, vec![reading(noon(), 1.0)])).unwrap().wait().unwrap_err();
    assert_eq!(refused.to_string(), "the store has no system number 99: add the system first");
    let lost = Batch::Live { session: SessionId(7), frames: vec![], readings: vec![], gaps: vec![] };
    let refused = store.append(lost).unwrap().wait().unwrap_err();
    assert_eq!(refused.to_string(), "the store has no session number 7: start a session first");
    let refused = store.save_finding(nowhere, finding(), noon()).unwrap_err();
    assert!(matches!(refused, StoreError::UnknownSystem(99)));
    assert!(store.append(import(system, vec![reading(noon(), 1.0)])).unwrap().wait().is_ok());
}

#[test]
fn a_batch_is_all_or_nothing() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let session = session(&store, system);
    // The size limit is met in the middle of this batch.
    store.set_size_limit(Some(200_000)).unwrap();
    let frames = (0..2000).map(|i| frame(later(i), &[7; 200])).collect();
    let batch = Batch::Live { session, frames, readings: vec![reading(noon(), 1.0)], gaps: vec![] };
    assert!(matches!(store.append(batch).unwrap().wait(), Err(StoreError::DiskFull)));
    assert_eq!(store.read(|r| r.frames(session)).unwrap(), []);
    assert_eq!(flows(&store, system), [] as [f64; 0]);
}

#[test]
fn a_full_queue_says_so_and_takes_nothing() {
    let temp = Temp::new();
    let options = Options { queue: 1, ..Options::default() };
    let store = Store::open(&temp.path, &options).unwrap().store;
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let (entered, inside) = mpsc::channel();
    let (go, gate) = mpsc::channel::<()>();
    let one = |i: i64| import(system, vec![reading(later(i), i as f64)]);
    // The callback of the first holds the writer until the test opens the gate.
    store
        .try_append(one(1), move |outcome| {
            entered.send(outcome.is_ok()).unwrap();
            gate.recv().unwrap();
        })
        .unwrap();
    assert!(inside.recv().unwrap());
    let waiting = store.append(one(2)).unwrap();
    let refused = store.try_append(one(3), |_| panic!("not taken, so never told")).unwrap_err();
    assert!(matches!(refused, StoreError::QueueFull));
    assert!(waiting.wait_for(Duration::from_millis(30)).is_none(), "no acknowledgement before the commit");
    go.send(()).unwrap();
    assert_eq!(waiting.wait().unwrap().readings, 1);
    assert_eq!(flows(&store, system), [1.0, 2.0]);
}

#[test]
fn closing_writes_what_is_queued_and_ends_every_handle() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let clone = store.clone();
    let acks: Vec<_> =
        (0..20).map(|i| store.append(import(system, vec![reading(later(i), i as f64)])).unwrap()).collect();
    store.close();
    assert!(acks.into_iter().all(|ack| ack.wait().is_ok()));
    let refused = clone.add_system("Late", noon()).unwrap_err();
    assert_eq!(refused.to_string(), "the store is closed: open it again; this write was not made");
    assert!(matches!(clone.read(Reader::systems), Err(StoreError::Closed)));
    assert_eq!(temp.names(), ["wells.db", "wells.db-lock"], "no log is left after closing");
    assert_eq!(flows(&temp.open(), system).len(), 20);
}

#[test]
fn the_last_handle_may_go_inside_a_callback() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let (told, outcome) = mpsc::channel();
    let (go, gate) = mpsc::channel::<()>();
    let own = store.clone();
    store
        .try_append(import(system, vec![reading(noon(), 1.0)]), move |result| {
            gate.recv().unwrap();
            drop(own);
            told.send(result.is_ok()).unwrap();
        })
        .unwrap();
    drop(store);
    go.send(()).unwrap();
    assert!(outcome.recv_timeout(Duration::from_secs(10)).unwrap());
}

#[test]
fn times_outside_the_calendar_are_no_panic() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", at("0001-01-01T00:00:00Z")).unwrap();
    let far = at("9999-12-31T23:59:59.999+14:00");
    store.append(import(system, vec![reading(far, 1.0)])).unwrap().wait().unwrap();
    assert_eq!(store.read(|r| r.latest_reading(system)).unwrap().unwrap().sample.at, far);
    assert_eq!(store.read(Reader::systems).unwrap()[0].created, at("0001-01-01T00:00:00Z"));
}
