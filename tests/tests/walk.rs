//! The walk: Bluetooth bytes through the real radio link to a finding in SQLite, with a lost link between.
#![cfg(target_os = "linux")]

use std::process::Stdio;
use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncBufReadExt as _, AsyncWriteExt as _, BufReader};
use tokio::process::Command;
use tokio::time::{sleep, timeout};
use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::Identity;
use wellwright_device::nameplate::Nameplate;
use wellwright_device::session::Card;
use wellwright_device::status::Status;
use wellwright_domain::cause::Cause;
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::flags::PumpState;
use wellwright_domain::sample::Sample;
use wellwright_sim::{Fault, Scenario};
use wellwright_store::{Options, Store};
use wellwright_tests::bluez::{Bluez, Bus, Peripheral};

/// Long, because the machine may be busy with other builds.
const PATIENCE: Duration = Duration::from_secs(90);

/// Frames sent on each side of the lost link.
const EACH: u32 = 150;

/// Rows of a pump that turns backwards and has run for a while.
fn turned_backwards() -> Vec<Sample> {
    let system = kestrel_hollow();
    let scenario = Scenario::plan(&system, Fault::of(Cause::ReversedRotation), 3).unwrap();
    let samples = scenario.run(&system).unwrap().samples;
    let settled = samples.into_iter().filter(|s| s.state == Some(PumpState::Running)).skip(400).step_by(4);
    let rows: Vec<Sample> = settled.take(2 * EACH as usize).collect();
    assert_eq!(rows.len(), 2 * EACH as usize);
    rows
}

async fn send(bluez: &Bluez, rows: &[Sample], first: u32) {
    for (seq, row) in (first..).zip(rows) {
        let frame = LiveFrame::from_sample(row, seq, u64::from(seq) * 1000).with_boot(3);
        for part in frame.to_parts(185) {
            assert!(bluez.notify(bluez.peripheral(0), &part).await, "nobody hears frame {seq}");
        }
        // well under what the session takes for a flood
        sleep(Duration::from_millis(15)).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn from_bluetooth_bytes_to_a_finding_in_the_store() {
    let rows = turned_backwards();
    let serial = kestrel_hollow().controller.serial.unwrap();
    let card = Card {
        identity: Identity {
            serial: serial.parse().unwrap(),
            maker: None,
            model: None,
            firmware: None,
            hardware: None,
        },
        nameplate: Nameplate { period_ms: Some(1000), ..Nameplate::default() },
        status: Status { boot: 3, ..Status::default() },
    }
    .encode();
    let bus = Bus::start();
    let bluez =
        Bluez::serve(&bus, vec![Peripheral::controller("C0:00:00:00:00:01", "Kestrel Hollow", &card)]).await;
    let dir = tempfile::tempdir().unwrap();
    let store = dir.path().join("walk.db");

    let mut child = Command::new(env!("CARGO_BIN_EXE_walk_client"))
        .arg(&store)
        .env("DBUS_SYSTEM_BUS_ADDRESS", bus.address())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let listening = || async {
        while !bluez.peripheral(0).is_notifying() {
            sleep(Duration::from_millis(20)).await;
        }
        // subscribed on the bus; the session hears of it a moment later
        sleep(Duration::from_millis(300)).await;
    };

    timeout(PATIENCE, listening()).await.expect("the client subscribes");
    send(&bluez, &rows[..EACH as usize], 10).await;
    bluez.lose_link(bluez.peripheral(0)).await;
    timeout(PATIENCE, listening()).await.expect("the client comes back");
    // five frames are lost with the link
    send(&bluez, &rows[EACH as usize..], 10 + EACH + 5).await;

    let sent = u64::from(2 * EACH);
    let mut answer = Value::Null;
    let mut asked = false;
    while let Some(line) = timeout(PATIENCE, lines.next_line()).await.expect("a line in time").unwrap() {
        let said: Value = serde_json::from_str(&line).unwrap();
        if !asked && said["saved"].as_u64() == Some(sent) {
            input.write_all(b"rank\n").await.unwrap();
            asked = true;
        }
        if said["leading"].is_string() {
            answer = said;
        }
    }
    assert!(timeout(PATIENCE, child.wait()).await.unwrap().unwrap().success());
    assert_eq!(answer["leading"], "reversed_rotation", "{answer}");
    assert_eq!(answer["verdict"], "fault");
    assert_eq!(bluez.writes(), 0, "it only reads");

    let opened = Store::open(&store, &Options::default()).unwrap();
    let (serials, frames, gaps, leading) = opened
        .store
        .read(|r| {
            let system = r.systems()?[0].id;
            let sessions = r.sessions(system)?;
            let mut frames = 0;
            let mut gaps = Vec::new();
            for s in &sessions {
                frames += r.frames(s.id)?.len();
                gaps.extend(r.gaps(s.id)?);
            }
            let finding = r.latest_finding(system)?.expect("a finding is kept").finding;
            let serials: Vec<Option<String>> = sessions.into_iter().map(|s| s.serial).collect();
            Ok((serials, frames, gaps, finding.leading().map(|c| c.code)))
        })
        .unwrap();
    assert_eq!(serials.first(), Some(&Some(serial)));
    assert_eq!(frames as u64, sent, "every frame is kept as it came");
    assert!(gaps.iter().any(|g| g.missing == Some(5)), "{gaps:?}");
    assert_eq!(leading, Some(Cause::ReversedRotation));
}
