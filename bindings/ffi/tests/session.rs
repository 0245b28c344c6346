//! What the surface promises, tried from Rust: the Kotlin smoke test tries that it arrives in Kotlin.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use wellwright_ffi::{
    NowObserver, NowView, Simulation, Stage, SystemView, Wellwright, WellwrightError, demo_records,
};

const SOON: Duration = Duration::from_secs(10);

struct Ear(Mutex<Sender<NowView>>);

impl NowObserver for Ear {
    fn on_update(&self, view: NowView) -> Result<(), WellwrightError> {
        let nobody = |_| WellwrightError::Internal { detail: "nobody listens any more".into() };
        self.0.lock().unwrap().send(view).map_err(nobody)
    }
}

fn ear() -> (Arc<dyn NowObserver>, Receiver<NowView>) {
    let (tell, hear) = channel();
    (Arc::new(Ear(Mutex::new(tell))), hear)
}

fn open(folder: &tempfile::TempDir) -> (Arc<Wellwright>, SystemView) {
    let path = folder.path().join("wells.db").to_string_lossy().into_owned();
    let wellwright = Wellwright::open(path).unwrap();
    let demo = demo_records().remove(0);
    let system = wellwright.add_system(demo.toml, demo.file_name).unwrap();
    (wellwright, system)
}

fn play(cause: &str, speed: f64) -> Simulation {
    Simulation { cause: cause.into(), seed: 3, speed, length_s: Some(900) }
}

#[test]
fn the_first_view_comes_at_once_and_the_last_says_ended() {
    let folder = tempfile::tempdir().unwrap();
    let (wellwright, system) = open(&folder);
    wellwright.start_simulated(system.id, play("healthy", 0.5)).unwrap();
    let (observer, views) = ear();
    let subscription = wellwright.observe(observer).unwrap();
    let first = views.recv_timeout(SOON).unwrap();
    assert!(first.simulated);
    assert_eq!(first.system, system.name);
    wellwright.stop();
    let last = std::iter::from_fn(|| views.recv_timeout(SOON).ok()).find(|v| v.stage == Stage::Ended);
    assert!(last.is_some(), "no view said that the session ended");
    drop(subscription);

    let (late, views) = ear();
    let _subscription = wellwright.observe(late).unwrap();
    assert_eq!(views.recv_timeout(SOON).unwrap().stage, Stage::Ended, "also for one who comes late");
}

#[test]
fn dropping_the_subscription_ends_it() {
    let folder = tempfile::tempdir().unwrap();
    let (wellwright, system) = open(&folder);
    wellwright.start_simulated(system.id, play("healthy", 20.0)).unwrap();
    let (observer, views) = ear();
    let subscription = wellwright.observe(observer).unwrap();
    views.recv_timeout(SOON).unwrap();
    drop(subscription);
    // The teller lets go of the observer, and with it of the sending end.
    let end = std::iter::from_fn(|| views.recv_timeout(SOON).map_err(|e| assert_eq!(e, DISCONNECTED)).ok());
    assert!(end.count() < 8);
    assert_ne!(wellwright.now().unwrap().stage, Stage::Ended, "the session goes on");
}

const DISCONNECTED: std::sync::mpsc::RecvTimeoutError = std::sync::mpsc::RecvTimeoutError::Disconnected;

#[test]
fn a_finding_stands_as_records_and_as_text() {
    let folder = tempfile::tempdir().unwrap();
    let (wellwright, system) = open(&folder);
    wellwright.start_simulated(system.id, play("reversed_rotation", 0.0)).unwrap();
    assert!(wellwright.wait_for_end(60_000).unwrap());
    let finding = wellwright.finding().unwrap();
    let json: serde_json::Value = serde_json::from_str(&finding.json).unwrap();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["causes"][0]["code"], finding.causes[0].code.as_str());
    assert_eq!(json["causes"].as_array().unwrap().len(), finding.causes.len());
    assert!(!finding.title.is_empty() && finding.causes.iter().all(|c| !c.name.is_empty()));
}

/// While there is doubt there is a check to make.
#[test]
fn the_checks_to_make_next_cross_as_well() {
    let folder = tempfile::tempdir().unwrap();
    let (wellwright, system) = open(&folder);
    wellwright.start_simulated(system.id, play("partial_shade", 0.0)).unwrap();
    assert!(wellwright.wait_for_end(60_000).unwrap());
    let finding = wellwright.finding().unwrap();
    let json: serde_json::Value = serde_json::from_str(&finding.json).unwrap();
    let codes: Vec<&str> = finding.next_checks.iter().map(|c| c.code.as_str()).collect();
    let written = json["next_checks"].as_array().unwrap();
    assert_eq!(codes, written.iter().map(|c| c["code"].as_str().unwrap()).collect::<Vec<_>>());
    let next = finding.next_checks.first().expect("a check");
    assert!(!next.name.is_empty() && next.minutes > 0.0);
}

#[test]
fn failures_have_a_kind_and_say_what_to_do() {
    let nowhere = Wellwright::open("no/such/folder/wells.db".into()).unwrap_err();
    assert!(matches!(nowhere, WellwrightError::Store { .. }), "{nowhere:?}");
    let folder = tempfile::tempdir().unwrap();
    let (wellwright, system) = open(&folder);
    assert!(matches!(wellwright.finding(), Err(WellwrightError::NotFound { .. })));
    assert!(matches!(wellwright.now(), Err(WellwrightError::NotFound { .. })));
    let unknown = wellwright.start_simulated(system.id, play("bad_mood", 0.0)).unwrap_err();
    assert!(unknown.to_string().contains("reversed_rotation"), "{unknown}");
    let none = wellwright.start_simulated(system.id + 77, play("healthy", 0.0));
    assert!(matches!(none, Err(WellwrightError::NotFound { .. })), "{none:?}");
    let half = wellwright.add_system("name = 1".into(), "half.system.toml".into()).unwrap_err();
    assert!(half.to_string().contains("half.system.toml"), "{half}");
}
