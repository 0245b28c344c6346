//! An acknowledged write survives a kill. A second program writes and tells each acknowledged number;
//! it is killed at a moment chosen by a seeded generator; everything it told must be there.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use std::collections::BTreeMap;
use std::io::BufRead;
use std::path::Path;
use std::time::{Duration, Instant};

use support::{Second, Seeded, Temp, ever, frame, later, open, reading, role};
use wellwright_domain::channel::Channel;
use wellwright_store::{Batch, NewSession, Reader, Store, SystemId};

const ROUNDS: u64 = 50;
/// Frames and readings in a batch.
const ROWS: usize = 3;
/// Batches that wait for their acknowledgement at the same time.
const IN_FLIGHT: usize = 4;
const SYSTEM: &str = "Demo Hill";

#[test]
fn acknowledged_writes_survive_fifty_kills() {
    if let Some((round, path)) = role() {
        write_until_killed(&path, round.parse().unwrap());
    }
    let temp = Temp::new();
    let mut chance = Seeded(20_260_314);
    let mut told: BTreeMap<u64, u64> = BTreeMap::new();
    let start = Instant::now();
    for round in 0..ROUNDS {
        let mut writer =
            Second::start("acknowledged_writes_survive_fifty_kills", &round.to_string(), &temp.path);
        let mut acknowledged = 0;
        // Every other kill comes while the store is still being opened, or not long after.
        if round % 2 == 0 {
            std::thread::sleep(Duration::from_millis(chance.below(40)));
        } else {
            assert_eq!(writer.line(), "ack 0");
            acknowledged = 1;
            std::thread::sleep(Duration::from_micros(chance.below(60_000)));
        }
        writer.child.kill().unwrap();
        writer.child.wait().unwrap();
        for line in (&mut writer.said).lines() {
            // The last line may be cut off in the middle: then it was not told.
            let line = line.unwrap();
            if let Some(number) = line.strip_prefix("ack ").and_then(|n| n.parse::<u64>().ok()) {
                acknowledged = acknowledged.max(number + 1);
            } else {
                assert!(acknowledged == 0 || line.len() < 12, "the writer failed: {line}");
            }
        }
        told.insert(round, acknowledged);
        check(&temp.path, round, &told);
    }
    let total: u64 = told.values().sum();
    assert!(total >= 200, "only {total} acknowledged batches in all rounds prove little");
    eprintln!("{total} acknowledged batches, {ROUNDS} kills, {:.1} s", start.elapsed().as_secs_f64());
}

/// Runs in the second program, and never returns.
fn write_until_killed(path: &Path, round: u64) -> ! {
    let store = open(path);
    let system = store.system_named(SYSTEM, later(0)).unwrap();
    let new = NewSession { system, source: format!("round:{round}"), serial: None, at: later(0) };
    let session = store.append_session(new).unwrap();
    let mut waiting = std::collections::VecDeque::new();
    for number in 0_u64.. {
        let instants = (0..ROWS).map(|k| later(number as i64 * 1000 + k as i64));
        let batch = Batch::Live {
            session,
            frames: instants.clone().map(|at| frame(at, &number.to_be_bytes())).collect(),
            readings: instants.map(|at| reading(at, number as f64)).collect(),
            gaps: vec![],
        };
        waiting.push_back((number, store.append(batch).unwrap()));
        if waiting.len() == IN_FLIGHT {
            let (number, ack) = waiting.pop_front().unwrap();
            ack.wait().unwrap();
            eprintln!("ack {number}");
        }
    }
    unreachable!("the numbers do not end")
}

/// Every batch that was told is there and whole; one that was not told is there whole or not at all.
fn check(path: &Path, round: u64, told: &BTreeMap<u64, u64>) {
    let store = open(path);
    let systems = store.read(Reader::systems).unwrap();
    let acknowledged = told[&round];
    let Some(system) = systems.first().map(|s| s.id) else {
        assert_eq!(told.values().sum::<u64>(), 0, "the system is gone");
        return;
    };
    let batches = batches_of(&store, system);
    for (earlier, number) in told {
        let there = batches.get(&format!("round:{earlier}")).map_or(0, |b| b.len() as u64);
        assert!(there >= *number, "round {round}: {number} told in round {earlier}, {there} there");
    }
    let this = batches.get(&format!("round:{round}"));
    for (i, (number, rows)) in this.into_iter().flatten().enumerate() {
        assert_eq!((*number, *rows), (i as u64, ROWS), "round {round}: a batch is missing or half there");
    }
    let session = store.read(|r| r.sessions(system)).unwrap().pop();
    if let Some(session) = session.filter(|s| s.source == format!("round:{round}")) {
        let frames = store.read(|r| r.frames(session.id)).unwrap();
        assert_eq!(frames.len(), this.map_or(0, |b| b.len() * ROWS), "frames and readings go together");
    } else {
        assert_eq!(acknowledged, 0);
    }
    store.close();
    let raw = rusqlite::Connection::open(path).unwrap();
    let said: String = raw.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(said, "ok");
    let orphans: i64 =
        raw.query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| row.get(0)).unwrap();
    assert_eq!(orphans, 0);
}

/// Rows by source and batch number.
fn batches_of(store: &Store, system: SystemId) -> BTreeMap<String, BTreeMap<u64, usize>> {
    let (from, to) = ever();
    let mut batches: BTreeMap<String, BTreeMap<u64, usize>> = BTreeMap::new();
    for row in store.read(|r| r.readings(system, from, to)).unwrap() {
        let number = row.sample.raw(Channel::FlowM3H).unwrap() as u64;
        *batches.entry(row.source).or_default().entry(number).or_default() += 1;
    }
    batches
}
