//! What the tests of this crate share: a temporary store, samples, a seeded generator, and a second
//! program (this test program started again).
#![allow(dead_code)] // each test program uses its own part

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use tempfile::TempDir;
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Finding;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::sample::Sample;
use wellwright_store::{Batch, Options, RawFrame, Reading, Store, SystemId, Uuid};

pub const CHARACTERISTIC: Uuid = Uuid::from_u128(0x2f1c_7a30_0001_4c7e_9d52_5b1d_0c0f_fee0);

pub fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

pub fn noon() -> DateTime<FixedOffset> {
    at("2026-03-14T12:00:00+02:00")
}

pub fn later(ms: i64) -> DateTime<FixedOffset> {
    noon() + TimeDelta::milliseconds(ms)
}

/// Before and after everything.
pub fn ever() -> (DateTime<FixedOffset>, DateTime<FixedOffset>) {
    (at("1970-01-01T00:00:00Z"), at("2200-01-01T00:00:00Z"))
}

pub struct Temp {
    pub folder: TempDir,
    pub path: PathBuf,
}

impl Temp {
    pub fn new() -> Temp {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("wells.db");
        Temp { folder, path }
    }

    pub fn open(&self) -> Store {
        open(&self.path)
    }

    /// Names in the folder, sorted.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(self.folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

/// Opens a store that must be sound.
pub fn open(path: &Path) -> Store {
    let opened = Store::open(path, &Options::default()).unwrap();
    assert_eq!(opened.set_aside, None);
    opened.store
}

pub fn impatient() -> Options {
    Options { patience: Duration::from_millis(200), ..Options::default() }
}

/// A sample in which every kind of column is used.
pub fn sample(at: DateTime<FixedOffset>, flow: f64) -> Sample {
    let mut sample = Sample::new(at)
        .with(Channel::ArrayV, 312.5)
        .with(Channel::MotorRpm, 2890.0)
        .with(Channel::FlowM3H, flow)
        .with(Channel::EnergyKwh, 1234.567891);
    sample.state = Some(PumpState::Running);
    sample.flags = Some(Flags::NONE.with(Flag::UnderLoad));
    sample
}

pub fn reading(at: DateTime<FixedOffset>, flow: f64) -> Reading {
    sample(at, flow).into()
}

pub fn frame(at: DateTime<FixedOffset>, bytes: &[u8]) -> RawFrame {
    RawFrame { received: at, characteristic: CHARACTERISTIC, bytes: bytes.to_vec() }
}

pub fn import(system: SystemId, readings: Vec<Reading>) -> Batch {
    Batch::Import { system, source: "file".into(), readings }
}

pub fn flows(store: &Store, system: SystemId) -> Vec<f64> {
    let (from, to) = ever();
    let rows = store.read(|r| r.readings(system, from, to)).unwrap();
    rows.iter().map(|r| r.sample.raw(Channel::FlowM3H).unwrap()).collect()
}

/// The finding that the documented format shows.
pub fn finding() -> Finding {
    serde_json::from_str(
        r#"{"schema": 1, "system": "Kestrel Hollow",
            "window": {"from": "2026-03-14T10:00:00Z", "to": "2026-03-14T11:00:00Z",
                       "rows": 3600, "used": 3412, "set_aside": 188},
            "verdict": "fault", "do_first": null, "regime": "speed_limited",
            "assumed": ["well.drawdown_c_m_per_m3h2"],
            "causes": [{"code": "reversed_rotation", "probability": 0.91, "severity": null,
                        "evidence": [{"channel": "flow_m3_h", "check": null, "regime": "speed_limited",
                                      "unit": "m3/h", "measured": 0.7, "if_healthy": 5.6, "if_cause": 0.6,
                                      "sigma": 0.3, "weight_bits": 5.2}],
                        "not_seen": ["wellhead_kpa"]}],
            "pairs": [],
            "next_checks": [{"code": "swap_two_leads", "minutes": 20, "cost": 20.0, "expected_bits": 0.41,
                             "separates": ["reversed_rotation", "closed_valve"],
                             "cautions": ["isolate_dc", "wait_discharge"]}],
            "model": {"version": "1", "record_hash": "abc"}}"#,
    )
    .unwrap()
}

/// SplitMix64: enough to choose moments, and the same on every machine.
pub struct Seeded(pub u64);

impl Seeded {
    pub fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % bound
    }
}

/// Tells a test that it runs as the second program, and on which store.
pub const ROLE: &str = "WELLWRIGHT_STORE_TEST_ROLE";
pub const PLACE: &str = "WELLWRIGHT_STORE_TEST_PLACE";

/// The role of this program, when it was started by [`Second::start`].
pub fn role() -> Option<(String, PathBuf)> {
    Some((std::env::var(ROLE).ok()?, PathBuf::from(std::env::var_os(PLACE)?)))
}

/// Only one test runs in the second program, and what it tells goes through standard error.
pub fn command(program: &Path, test: &str, role: &str, path: &Path) -> Command {
    let mut command = Command::new(program);
    command
        .args(["--exact", test, "--nocapture", "--test-threads=1"])
        .env(ROLE, role)
        .env(PLACE, path)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    command
}

/// This test program, running a second time.
pub struct Second {
    pub child: Child,
    pub said: BufReader<std::process::ChildStderr>,
    stdin: Option<ChildStdin>,
}

impl Second {
    pub fn start(test: &str, role: &str, path: &Path) -> Second {
        Second::run(command(&std::env::current_exe().unwrap(), test, role, path))
    }

    pub fn run(mut command: Command) -> Second {
        let mut child = command.spawn().unwrap();
        let said = BufReader::new(child.stderr.take().unwrap());
        let stdin = child.stdin.take();
        Second { child, said, stdin }
    }

    /// The next line it says, without the line end.
    pub fn line(&mut self) -> String {
        let mut line = String::new();
        self.said.read_line(&mut line).unwrap();
        line.trim_end().to_owned()
    }

    /// Closes its standard input, which tells it to end.
    pub fn release(&mut self) {
        self.stdin = None;
    }

    pub fn finish(mut self) {
        self.release();
        let rest: Vec<String> = (&mut self.said).lines().map(Result::unwrap).collect();
        assert!(self.child.wait().unwrap().success(), "the second program failed: {rest:#?}");
    }
}

/// In the second program: waits until the first says go.
pub fn wait_for_release() {
    let mut line = String::new();
    std::io::stdin().read_line(&mut line).unwrap();
}
