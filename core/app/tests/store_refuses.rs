//! A store that refuses for a while: what came is kept and offered again, and the person is told.

use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use tempfile::TempDir;
use wellwright_app::frame_clock::FrameClock;
use wellwright_app::live::Live;
use wellwright_app::session::{self, SessionState, Shared, Sink};
use wellwright_app::text::Words;
use wellwright_app::{App, Simulated};
use wellwright_device::driver::{self, Config, Stopper};
use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::Identity;
use wellwright_device::memory_link::{self, MemoryController};
use wellwright_device::nameplate::Nameplate;
use wellwright_device::session::{Card, Policy, Target};
use wellwright_device::status::Status;
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{KESTREL_HOLLOW_TOML, kestrel_hollow};
use wellwright_store::{Options, Store, SystemId};

/// Long, because the machine may be busy with other builds.
const PATIENCE: Duration = Duration::from_mins(1);
/// Readings that a session keeps while the store refuses.
const KEPT: u32 = 4096;

fn noon() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-03-14T12:00:00+02:00").unwrap()
}

/// A session on an empty store, for a system that is not in it: the store refuses even the session, until the
/// system is added.
struct Refused {
    store: Store,
    shared: Arc<Shared>,
    controller: MemoryController,
    stopper: Stopper,
    _dir: TempDir,
}

const SYSTEM: SystemId = SystemId(1);

impl Refused {
    fn start() -> Refused {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path().join("wells.db"), &Options::default()).unwrap().store;
        let card = Card {
            identity: Identity {
                serial: "KH-0001".parse().unwrap(),
                maker: None,
                model: None,
                firmware: None,
                hardware: None,
            },
            nameplate: Nameplate::default(),
            status: Status::default(),
        };
        let (link, controller) = memory_link::pair(&card);
        // Never silent for so long that it would connect, and begin the session, anew.
        let policy = Policy { silence_ms: 600_000, ..Policy::in_process() };
        let running = driver::start(link, Config::new(Target::default()).with_policy(policy));
        let stopper = running.stopper();
        let shared = Shared::new(Live::new(&kestrel_hollow()).unwrap());
        let sink = Sink {
            store: store.clone(),
            system: SYSTEM,
            source: "ble",
            play: String::new(),
            clock: FrameClock::Exact(Arc::new(|ms| noon() + TimeDelta::milliseconds(ms.cast_signed()))),
        };
        tokio::spawn(session::follow(running, sink, shared.clone()));
        Refused { store, shared, controller, stopper, _dir: dir }
    }

    async fn send(&self, frames: u32) {
        self.controller.subscribed().await;
        for seq in 0..frames {
            let mut frame = LiveFrame::new(seq, u64::from(seq) * 1000);
            frame.set(Channel::ArrayV, Some(300.0 + f64::from(seq % 100)));
            assert!(self.controller.send_frame(&frame).await);
        }
        self.until(|s| s.received == u64::from(frames)).await;
    }

    async fn until(&self, wanted: impl FnMut(&SessionState) -> bool) -> SessionState {
        let mut states = self.shared.subscribe();
        let come = tokio::time::timeout(PATIENCE, states.wait_for(wanted)).await;
        come.unwrap_or_else(|late| panic!("{late}: {:?}", self.shared.state())).unwrap().clone()
    }

    fn make_it_take(&self) {
        assert_eq!(self.store.add_system("Kestrel Hollow", noon()).unwrap(), SYSTEM);
    }

    /// Array voltages in the store, in time order.
    fn voltages(&self) -> Vec<f64> {
        let rows = self.store.read(|r| r.readings(SYSTEM, noon(), noon() + TimeDelta::days(1))).unwrap();
        rows.iter().map(|r| r.sample.raw(Channel::ArrayV).unwrap()).collect()
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_session_that_the_store_refuses_at_first_begins_once_it_is_taken() {
    let s = Refused::start();
    s.send(700).await;
    let state = s.until(|s| s.problem.is_some()).await;
    assert_eq!((state.session, state.saved, state.unsaved), (None, 0, 0), "{state:?}");
    assert!(state.problem.unwrap().contains("add the system first"));
    assert_eq!(state.serial.as_deref(), Some("KH-0001"));

    s.make_it_take();
    let state = s.until(|s| s.saved == 700 && s.problem.is_none()).await;
    let session = state.session.unwrap();
    assert_eq!(s.voltages(), (0..700).map(|n| 300.0 + f64::from(n % 100)).collect::<Vec<_>>());
    assert_eq!(s.store.read(|r| r.frames(session)).unwrap().len(), 700);
    assert_eq!(s.store.read(|r| r.gaps(session)).unwrap(), []);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_must_be_let_go_is_the_oldest_and_is_counted_told_and_kept_as_a_gap() {
    let s = Refused::start();
    s.send(KEPT + 30).await;
    let state = s.until(|s| s.problem.is_some()).await;
    assert_eq!((state.saved, state.unsaved), (0, 30), "{state:?}");

    s.make_it_take();
    let state = s.until(|s| s.saved == u64::from(KEPT)).await;
    assert_eq!(state.unsaved, 30);
    let voltages = s.voltages();
    assert_eq!((voltages.len(), voltages[0]), (KEPT as usize, 330.0));
    let gaps = s.store.read(|r| r.gaps(state.session.unwrap())).unwrap();
    let told: Vec<_> = gaps.iter().map(|g| (g.from, g.to, g.missing, g.reason.as_str())).collect();
    assert_eq!(told, [(noon(), noon() + TimeDelta::seconds(30), Some(30), "not_stored")]);
}

/// Ended while the store still refuses: what came is counted, and the end comes all the same.
#[tokio::test(flavor = "multi_thread")]
async fn what_the_store_never_took_is_counted_at_the_end() {
    let s = Refused::start();
    s.send(20).await;
    s.stopper.stop();
    let state = s.until(|s| s.stage == session::Stage::Ended).await;
    assert_eq!((state.received, state.saved, state.unsaved), (20, 0, 20));
    assert!(state.problem.unwrap().contains("add the system first"));
}

/// A controller that restarts: what it said last may be lost, so the record shows a gap; its running time begins anew,
/// and so does a clock that goes by it. What was noticed stays to be read when the next rows are saved.
#[tokio::test(flavor = "multi_thread")]
async fn a_restart_leaves_a_gap_and_a_clock_that_goes_back_begins_anew() {
    let s = Refused::start();
    s.make_it_take();
    s.send(30).await;
    s.until(|s| s.saved == 30).await;
    for n in 0..5 {
        let mut frame = LiveFrame::new(n, 2000 + u64::from(n) * 1000).with_boot(1);
        frame.set(Channel::ArrayV, Some(250.5));
        assert!(s.controller.send_frame(&frame).await);
    }
    let state = s.until(|s| s.saved == 35 || s.received == 35 && s.saved > 30).await;
    let at = |seconds| noon() + TimeDelta::seconds(seconds);
    assert_eq!(state.span, Some((at(2), at(6))), "{state:?}");
    assert_eq!(state.problem.as_deref(), Some("the controller restarted"));
    let gaps = s.store.read(|r| r.gaps(state.session.unwrap())).unwrap();
    let told: Vec<_> = gaps.iter().map(|g| (g.from, g.to, g.missing, g.reason.as_str())).collect();
    assert_eq!(told, [(at(2), at(2), None, "restart")]);
}

/// The disk is full in the middle of a session, and then there is room again.
#[test]
fn a_full_store_is_told_and_nothing_is_lost_once_there_is_room() {
    const ROWS: u64 = 900;
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("wells.db");
    let app = App::open(&path, Words::english()).unwrap();
    let system = app.add_system(KESTREL_HOLLOW_TOML, "kestrel.system.toml").unwrap();
    let how = Simulated {
        cause: Cause::ReversedRotation,
        seed: 3,
        speed: 150.0,
        length_s: Some(u32::try_from(ROWS).unwrap()),
    };
    // No page more than there are.
    app.store().set_size_limit(Some(1)).unwrap();
    app.start_simulated(system.id, &how).unwrap();
    let began = std::time::Instant::now();
    let full = loop {
        let state = app.now().unwrap().session;
        if state.problem.is_some() {
            break state;
        }
        assert!(began.elapsed() < PATIENCE, "it was never full: {state:?}");
        std::thread::sleep(Duration::from_millis(20));
    };
    assert!(full.problem.as_deref().unwrap().contains("there is no room left for the store"), "{full:?}");
    assert!(full.saved < ROWS);
    let acknowledged = app.samples().unwrap();
    assert!(acknowledged.len() as u64 >= full.saved);

    app.store().set_size_limit(None).unwrap();
    assert!(app.wait(PATIENCE).unwrap());
    let state = app.now().unwrap().session;
    let counts = (state.received, state.saved, state.lost, state.unsaved, state.problem);
    assert_eq!(counts, (ROWS, ROWS, 0, 0, None));
    let samples = app.samples().unwrap();
    assert_eq!(samples.len() as u64, ROWS);
    assert_eq!(samples[..acknowledged.len()], acknowledged);
    assert!(samples.windows(2).all(|p| (p[1].at - p[0].at).num_milliseconds() == 1000));
    assert_eq!(app.finding().unwrap().finding.leading().unwrap().code, Cause::ReversedRotation);
}
