//! Stores written by every released version open, and nothing in them changes meaning.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use rusqlite::Connection;
use support::{Temp, at, ever, later, noon};
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Answer, Check};
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_store::{LATEST_VERSION, Reader, SessionId, SystemId, record_hash};

/// What a database looks like, without white space and comments deciding.
fn shape(conn: &Connection) -> Vec<(String, String)> {
    let mut statement = conn
        .prepare(
            "SELECT s.name, c.name || ' ' || c.type || ' ' || c.\"notnull\" || ' ' || coalesce(c.dflt_value, '-') || ' ' || c.pk
             FROM sqlite_schema AS s JOIN pragma_table_info(s.name) AS c WHERE s.type = 'table'
             UNION ALL SELECT s.name, 'on ' || s.tbl_name || ' ' || i.name
             FROM sqlite_schema AS s JOIN pragma_index_info(s.name) AS i WHERE s.type = 'index'
             ORDER BY 1, 2",
        )
        .unwrap();
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn version_1_opens_with_everything_in_it() {
    let temp = Temp::new();
    let raw = Connection::open(&temp.path).unwrap();
    raw.execute_batch(include_str!("fixtures/v1.sql")).unwrap();
    drop(raw);
    let store = temp.open();
    let (system, session) = (SystemId(1), SessionId(1));
    let systems = store.read(Reader::systems).unwrap();
    assert_eq!(systems.len(), 1);
    assert_eq!((systems[0].id, systems[0].name.as_str()), (system, "Demo Hill"));
    assert_eq!(systems[0].created, noon());
    let versions = store.read(|r| r.record_versions(system)).unwrap();
    assert_eq!(versions.len(), 2);
    assert_eq!(versions[1].parent.as_ref(), Some(&versions[0].hash));
    assert!(versions.iter().all(|v| v.hash == record_hash(&v.toml)));
    let sessions = store.read(|r| r.sessions(system)).unwrap();
    assert_eq!((sessions[0].source.as_str(), sessions[0].ended), ("ble:DEMO-0001", Some(later(5000))));
    let frames = store.read(|r| r.frames(session)).unwrap();
    assert_eq!(frames[0].bytes, [1, 2, 255]);
    assert_eq!(frames[0].characteristic, support::CHARACTERISTIC);
    let (from, to) = ever();
    let rows = store.read(|r| r.readings(system, from, to)).unwrap();
    assert_eq!(rows.len(), 4);
    let states: Vec<_> = rows.iter().map(|r| r.sample.state).collect();
    assert_eq!(states, [Some(PumpState::Running), Some(PumpState::Starting), Some(PumpState::Stopped), None]);
    assert!(rows[2].sample.flags.unwrap().has(Flag::DryProbe));
    assert_eq!(rows[3].sample.flags, None);
    for (i, channel) in Channel::ALL.into_iter().enumerate() {
        // Every column holds its place in the list, so that two that are exchanged are noticed.
        assert_eq!(rows[0].sample.raw(channel), Some(i as f64 + 0.5), "{}", channel.code());
    }
    assert_eq!((rows[0].device_ms, rows[0].session), (Some(1000), Some(session)));
    assert_eq!(store.read(|r| r.gaps(session)).unwrap()[0].missing, Some(3));
    let checks = store.read(|r| r.checks(system)).unwrap();
    assert_eq!(checks[0].check, Check::BucketTest);
    assert_eq!(checks[0].answers["litres"], Answer::Number(20.0));
    let latest = store.read(|r| r.latest_finding(system)).unwrap().unwrap();
    assert_eq!(latest.finding, support::finding());
    assert_eq!(latest.created, at("2026-03-14T12:00:06+02:00"));
    store.close();

    let raw = Connection::open(&temp.path).unwrap();
    let version: i64 = raw.query_row("PRAGMA user_version", [], |row| row.get(0)).unwrap();
    assert_eq!(version, LATEST_VERSION);
    let fresh = Temp::new();
    fresh.open().close();
    assert_eq!(
        shape(&raw),
        shape(&Connection::open(&fresh.path).unwrap()),
        "old and new stores end up alike"
    );
}

#[test]
fn every_channel_has_its_column() {
    let temp = Temp::new();
    temp.open().close();
    let raw = Connection::open(&temp.path).unwrap();
    let columns: Vec<String> = raw
        .prepare("SELECT name FROM pragma_table_info('readings') WHERE type = 'REAL' ORDER BY cid")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(columns, Channel::ALL.map(Channel::code));
}
