//! Two programs on one store: both read, both write in turn, and who waits too long is told why.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use std::path::Path;
use std::time::{Duration, Instant};

use support::{Second, Temp, flows, impatient, import, later, noon, open, reading, role, wait_for_release};
use wellwright_store::{OpenError, Options, Reader, Store, StoreError, SystemId};

const BATCHES: i64 = 60;

/// A second program that does what its role says.
fn play(role: &str, path: &Path) {
    match role {
        "write" => write(path, 1_000_000),
        "hold" => {
            let conn = rusqlite::Connection::open(path).unwrap();
            conn.execute_batch("BEGIN IMMEDIATE; INSERT INTO sources (name) VALUES ('held');").unwrap();
            eprintln!("held");
            wait_for_release();
            conn.execute_batch("COMMIT").unwrap();
        }
        "exclude" => {
            let conn = rusqlite::Connection::open(path).unwrap();
            conn.execute_batch(
                "PRAGMA locking_mode = EXCLUSIVE; BEGIN IMMEDIATE; INSERT INTO sources (name) VALUES ('x');",
            )
            .unwrap();
            eprintln!("held");
            wait_for_release();
            conn.execute_batch("COMMIT").unwrap();
        }
        "open" => {
            let store = open(path);
            eprintln!("open {}", store.read(Reader::systems).unwrap().len());
            wait_for_release();
        }
        other => panic!("no role {other}"),
    }
}

fn write(path: &Path, first: i64) {
    let store = open(path);
    let system = store.system_named("Demo Hill", noon()).unwrap();
    for i in 0..BATCHES {
        let batch = import(system, vec![reading(later(first + i), (first + i) as f64)]);
        store.append(batch).unwrap().wait().unwrap();
    }
}

#[test]
fn both_write_and_nothing_is_lost() {
    if let Some((role, path)) = role() {
        return play(&role, &path);
    }
    let temp = Temp::new();
    // Both start on a store that does not exist yet.
    let second = Second::start("both_write_and_nothing_is_lost", "write", &temp.path);
    write(&temp.path, 0);
    second.finish();
    let store = temp.open();
    let systems = store.read(Reader::systems).unwrap();
    assert_eq!(systems.len(), 1, "both found or made the same system");
    let flows = flows(&store, systems[0].id);
    assert_eq!(flows.len() as i64, 2 * BATCHES);
    assert!(flows[..60].iter().enumerate().all(|(i, f)| *f == i as f64));
}

fn with_system(temp: &Temp) -> SystemId {
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    store.append(import(system, vec![reading(noon(), 1.0)])).unwrap().wait().unwrap();
    system
}

#[test]
fn a_writer_waits_for_the_other_program() {
    if let Some((role, path)) = role() {
        return play(&role, &path);
    }
    let temp = Temp::new();
    let system = with_system(&temp);
    let store = temp.open();
    let mut second = Second::start("a_writer_waits_for_the_other_program", "hold", &temp.path);
    assert_eq!(second.line(), "held");
    let ack = store.append(import(system, vec![reading(later(1), 2.0)])).unwrap();
    assert!(ack.wait_for(Duration::from_millis(300)).is_none(), "it must wait while the other writes");
    assert_eq!(flows(&store, system), [1.0], "reading goes on meanwhile");
    second.release();
    ack.wait().unwrap();
    assert_eq!(flows(&store, system), [1.0, 2.0]);
    second.finish();
}

#[test]
fn a_writer_that_waited_too_long_is_told_and_can_go_on() {
    if let Some((role, path)) = role() {
        return play(&role, &path);
    }
    let temp = Temp::new();
    let system = with_system(&temp);
    let store = Store::open(&temp.path, &impatient()).unwrap().store;
    let mut second = Second::start("a_writer_that_waited_too_long_is_told_and_can_go_on", "hold", &temp.path);
    assert_eq!(second.line(), "held");
    let batch = import(system, vec![reading(later(1), 2.0)]);
    let start = Instant::now();
    let refused = store.append(batch.clone()).unwrap().wait().unwrap_err();
    assert!(start.elapsed() >= Duration::from_millis(200));
    assert!(matches!(refused, StoreError::Locked));
    assert_eq!(
        refused.to_string(),
        "another program is writing to this store and did not finish in time: close it or wait, then try again; this write was not made"
    );
    assert_eq!(flows(&store, system), [1.0]);
    second.finish();
    assert_eq!(store.append(batch).unwrap().wait().unwrap().readings, 1);
    assert_eq!(flows(&store, system), [1.0, 2.0]);
}

#[test]
fn opening_a_store_that_another_program_holds_alone() {
    if let Some((role, path)) = role() {
        return play(&role, &path);
    }
    let temp = Temp::new();
    let system = with_system(&temp);
    let mut second = Second::start("opening_a_store_that_another_program_holds_alone", "exclude", &temp.path);
    assert_eq!(second.line(), "held");
    let refused = Store::open(&temp.path, &impatient()).unwrap_err();
    let OpenError::Locked { waited, .. } = &refused else { panic!("{refused}") };
    assert_eq!(*waited, Duration::from_millis(200));
    assert!(refused.to_string().ends_with(
        "is held by another program (waited 0.2 s): close that program or wait until it has finished, then try again"
    ));
    second.finish();
    assert_eq!(flows(&temp.open(), system), [1.0]);
}

#[test]
fn a_damaged_store_is_not_moved_under_another_program() {
    if let Some((role, path)) = role() {
        return play(&role, &path);
    }
    let temp = Temp::new();
    with_system(&temp);
    let mut second = Second::start("a_damaged_store_is_not_moved_under_another_program", "open", &temp.path);
    assert_eq!(second.line(), "open 1");
    let sound = std::fs::read(&temp.path).unwrap();
    let mut damaged = sound.clone();
    damaged[4096..].fill(0xA5);
    std::fs::write(&temp.path, &damaged).unwrap();
    let refused = Store::open(&temp.path, &impatient()).unwrap_err();
    assert!(matches!(refused, OpenError::DamagedInUse { .. }), "{refused}");
    assert!(refused.to_string().contains("another program has it open: close that program, then try again"));
    assert_eq!(std::fs::read(&temp.path).unwrap(), damaged, "left as it is");
    second.child.kill().unwrap();
    second.child.wait().unwrap();
    // The lock went with the killed program.
    let opened = Store::open(&temp.path, &Options::default()).unwrap();
    let aside = opened.set_aside.unwrap();
    assert_eq!(std::fs::read(&aside.kept_as).unwrap(), damaged);
}
