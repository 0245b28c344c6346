//! The walk: Bluetooth bytes through the real radio link (btleplug on BlueZ's D-Bus interface, the daemon
//! played by the tests) to a finding in SQLite, with the link lost on the way.
#![cfg(target_os = "linux")]

use std::sync::Arc;
use std::time::{Duration, Instant};

use chrono::{DateTime, Local, TimeDelta};
use wellwright_app::assess::told_toml;
use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::Identity;
use wellwright_device::nameplate::Nameplate;
use wellwright_device::profile::LIVE;
use wellwright_device::session::{Card, RawCard};
use wellwright_device::status::Status;
use wellwright_domain::cause::Cause;
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::files::checks::ChecksFile;
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::flags::PumpState;
use wellwright_domain::sample::Sample;
use wellwright_sim::{Fault, Scenario};
use wellwright_store::{Gap, Options, RawFrame, SessionRow, Store, StoredReading};
use wellwright_tests::bluez::{Bluez, Bus, Peripheral};

mod walk_client;
use walk_client::Program;

/// Frames sent on each side of the lost link.
const EACH: usize = 150;
/// Frames that the controller sends while nobody listens.
const UNHEARD: u32 = 5;
/// Number of the first frame.
const FIRST: u32 = 10;
/// Between two frames; a tenth of what the session takes for a flood.
const PERIOD: Duration = Duration::from_millis(20);
const BOOT: u16 = 3;

/// Rows of a pump that turns backwards and has run for a while, and what a person there would say.
fn turning_backwards() -> (Vec<Sample>, ChecksFile) {
    let system = kestrel_hollow();
    let scenario = Scenario::plan(&system, Fault::of(Cause::ReversedRotation), 3).unwrap();
    let recording = scenario.run(&system).unwrap();
    let running = recording.samples.into_iter().filter(|s| s.state == Some(PumpState::Running));
    let rows: Vec<Sample> = running.skip(400).step_by(4).take(2 * EACH).collect();
    assert_eq!(rows.len(), 2 * EACH);
    let told = ChecksFile {
        situation: Some(scenario.situation),
        touched: Some(scenario.touched),
        noticed: Some(recording.noticed),
        checks: Vec::new(),
    };
    (rows, told)
}

/// Its clock is years off, as a clock without a battery is.
fn card(serial: &str) -> RawCard {
    Card {
        identity: Identity {
            serial: serial.parse().unwrap(),
            maker: None,
            model: None,
            firmware: None,
            hardware: None,
        },
        nameplate: Nameplate { period_ms: Some(1000), ..Nameplate::default() },
        status: Status {
            boot: BOOT,
            clock: Some(DateTime::parse_from_rfc3339("2019-01-01T00:00:00+00:00").unwrap()),
            ..Status::default()
        },
    }
    .encode()
}

/// The controller: its running time is that of the machine.
struct Controller {
    bluez: Arc<Bluez>,
    started: Instant,
    seq: u32,
}

impl Controller {
    /// Sends these rows; gives the bytes of each frame.
    async fn send(&mut self, rows: &[Sample]) -> Vec<Vec<u8>> {
        let mut sent = Vec::new();
        for row in rows {
            let uptime = 60_000 + u64::try_from(self.started.elapsed().as_millis()).unwrap();
            let frame = LiveFrame::from_sample(row, self.seq, uptime).with_boot(BOOT);
            for part in frame.to_parts(185) {
                let heard = self.bluez.notify(self.bluez.peripheral(0), &part).await;
                assert!(heard, "nobody hears frame {}", self.seq);
            }
            sent.push(frame.encode());
            self.seq += 1;
            tokio::time::sleep(PERIOD).await;
        }
        sent
    }

    async fn lose_link(&mut self) {
        self.bluez.lose_link(self.bluez.peripheral(0)).await;
        self.seq += UNHEARD;
    }
}

/// What another program finds in the store later.
struct Kept {
    session: SessionRow,
    frames: Vec<RawFrame>,
    readings: Vec<StoredReading>,
    gaps: Vec<Gap>,
    findings: Vec<Finding>,
}

fn read(store: &Store) -> Kept {
    store
        .read(|r| {
            let systems = r.systems()?;
            assert_eq!(systems.len(), 1);
            let mut sessions = r.sessions(systems[0].id)?;
            assert_eq!(sessions.len(), 1, "a lost link does not end a session");
            let session = sessions.remove(0);
            let (from, to) = (session.started - TimeDelta::days(1), session.started + TimeDelta::days(1));
            Ok(Kept {
                frames: r.frames(session.id)?,
                readings: r.readings(systems[0].id, from, to)?,
                gaps: r.gaps(session.id)?,
                findings: r.findings(systems[0].id)?.into_iter().map(|f| f.finding).collect(),
                session,
            })
        })
        .unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn from_bluetooth_bytes_to_a_finding_in_the_store() {
    let began = Local::now().fixed_offset();
    let (rows, told) = turning_backwards();
    let serial = kestrel_hollow().controller.serial.unwrap();
    let dir = tempfile::tempdir().unwrap();
    let (store, told_file) = (dir.path().join("walk.db"), dir.path().join("walk.checks.toml"));
    std::fs::write(&told_file, told_toml(&told)).unwrap();
    let bus = Bus::start();
    let peripheral = Peripheral::controller("C0:00:00:00:00:01", "Kestrel Hollow", &card(&serial));
    let bluez = Bluez::serve(&bus, vec![peripheral]).await;
    let mut controller = Controller { bluez: bluez.clone(), started: Instant::now(), seq: FIRST };

    let mut program = Program::start(&bus, &store, &serial, &told_file);
    program.until(|s| s["stage"] == "following").await;
    let mut sent = controller.send(&rows[..EACH]).await;
    program.until(|s| s["received"] == EACH).await;
    controller.lose_link().await;
    let state = program.until(|s| s["stage"] == "waiting").await;
    assert!(state["reason"].as_str().unwrap().contains("link to the controller was lost"), "{state}");
    program.until(|s| s["stage"] == "following").await;
    sent.extend(controller.send(&rows[EACH..]).await);
    let state = program.until(|s| s["saved"] == 2 * EACH).await;
    assert_eq!(state["lost"], UNHEARD);
    let said: Finding = serde_json::from_value(program.rank().await).unwrap();
    let ended = Local::now().fixed_offset();
    assert_eq!(bluez.writes(), 0, "it only reads");
    assert!(!bluez.peripheral(0).is_connected(), "it let go of the controller");

    let kept = read(&Store::open(&store, &Options::default()).unwrap().store);
    let session = &kept.session;
    assert_eq!(session.serial.as_ref(), Some(&serial));
    assert_eq!(session.source, format!("ble:{serial}"));
    assert!(session.started >= began && session.ended.unwrap() <= ended, "by our clock: {session:?}");
    assert_eq!(session.end_reason.as_deref(), Some("stopped"));

    // Raw frames as they were sent, byte by byte, and a reading of each.
    assert!(kept.frames.iter().all(|f| f.characteristic == LIVE));
    assert_eq!(kept.frames.iter().map(|f| &f.bytes).collect::<Vec<_>>(), sent.iter().collect::<Vec<_>>());
    assert_eq!(kept.readings.len(), sent.len());
    for (reading, bytes) in kept.readings.iter().zip(&sent) {
        let frame = LiveFrame::decode(bytes).unwrap();
        assert_eq!(reading.sample, frame.to_sample(reading.sample.at));
        assert_eq!(reading.device_ms, Some(frame.uptime_ms.cast_signed()));
        assert_eq!(reading.session, Some(session.id));
        assert!(reading.sample.at >= began && reading.sample.at <= ended);
    }

    let (before, after) = (kept.readings[EACH - 1].sample.at, kept.readings[EACH].sample.at);
    let gap = Gap { from: before, to: after, missing: Some(UNHEARD), reason: "sequence".to_owned() };
    assert_eq!(kept.gaps, [gap]);

    assert_eq!(kept.findings.len(), 1);
    let finding = &kept.findings[0];
    assert_eq!(finding.verdict, Verdict::Fault);
    assert_eq!(finding.leading().unwrap().code, Cause::ReversedRotation);
    // the rows keep one voltage, so that a second cause may stand beside it
    let beside: f64 = finding
        .pairs
        .iter()
        .filter(|p| p.codes.contains(&Cause::ReversedRotation))
        .map(|p| p.probability)
        .sum();
    assert!(
        finding.leading().unwrap().probability + beside > 0.5,
        "{:?} {:?}",
        finding.leading(),
        finding.pairs
    );
    assert_eq!(finding.window.rows, sent.len());
    assert_eq!(finding.system, kestrel_hollow().name);
    let ranked = |f: &Finding| f.causes.iter().map(|c| c.code).collect::<Vec<_>>();
    assert_eq!(ranked(finding), ranked(&said), "what was shown is what is kept");
}
