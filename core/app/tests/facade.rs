//! The object that shells hold: systems, observers, one session at a time, failures by kind.

use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use wellwright_app::session::Stage;
use wellwright_app::text::Words;
use wellwright_app::{App, ErrorKind, NowView, Simulated};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};
use wellwright_domain::files::checks::ChecksFile;
use wellwright_store::SystemId;

fn open() -> (tempfile::TempDir, App) {
    let dir = tempfile::tempdir().unwrap();
    let app = App::open(dir.path().join("a.db"), Words::english()).unwrap();
    (dir, app)
}

fn simulated(speed: f64) -> Simulated {
    Simulated { cause: Cause::ReversedRotation, seed: 2, speed, length_s: Some(600) }
}

#[test]
fn systems_are_kept_by_name_and_versions_are_added() {
    let (_dir, app) = open();
    let first = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap();
    let again = app.add_system(&KESTREL_HOLLOW_TOML.replace("66.0", "68.0"), "k.toml").unwrap();
    app.add_system(DOVECOTE_BEND_TOML, "d.toml").unwrap();
    assert_eq!(first.id, again.id);
    let names: Vec<String> = app.systems().unwrap().into_iter().map(|s| s.name).collect();
    assert_eq!(names, ["Dovecote Bend", "Kestrel Hollow"]);
    assert_eq!(app.record(first.id).unwrap().cable.length_m, Some(68.0));
    let e = app.add_system("name = 3", "bad.toml").unwrap_err();
    assert_eq!(e.kind, ErrorKind::BadInput);
    assert!(e.detail.starts_with("bad.toml:1: name"), "{e}");
    assert_eq!(app.record(99).unwrap_err().kind, ErrorKind::NotFound);
}

#[test]
fn an_observer_gets_a_snapshot_first_then_at_most_four_views_a_second_and_the_end() {
    let (_dir, app) = open();
    let id = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap().id;
    app.start_simulated(id, &simulated(300.0)).unwrap();
    let seen: Arc<Mutex<Vec<(Instant, NowView)>>> = Arc::default();
    let (done, ended) = channel();
    let keep = seen.clone();
    let began = Instant::now();
    let watching = app
        .observe(Arc::new(move |view: NowView| {
            let over = view.session.stage == Stage::Ended;
            keep.lock().unwrap().push((Instant::now(), view));
            if over {
                let _ = done.send(());
            }
        }))
        .unwrap();
    ended.recv_timeout(Duration::from_secs(30)).expect("the last view");
    drop(watching);
    let seen = seen.lock().unwrap();
    assert!(seen[0].0 - began < Duration::from_millis(200), "the snapshot comes at once");
    assert!(seen.len() >= 4, "{} views", seen.len());
    for pair in seen.windows(2) {
        assert!(pair[1].0 - pair[0].0 >= Duration::from_millis(240), "{:?}", pair[1].0 - pair[0].0);
    }
    let last = &seen.last().unwrap().1;
    assert_eq!((last.session.received, last.session.saved), (600, 600));
    let now = last.now.as_ref().unwrap();
    let flow = now.rows.iter().find(|r| r.id == "flow").unwrap();
    assert!(flow.differs && flow.measured.unwrap() < 0.5 * flow.lo.unwrap(), "{flow:?}");
    assert_eq!(now.title, "Almost no water");
}

/// What the hand found at the wellhead is kept like what the controller said, also when it is put right later.
#[test]
fn a_check_that_is_told_is_kept_once() {
    let (_dir, app) = open();
    let id = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap().id;
    app.start_simulated(id, &simulated(300.0)).unwrap();
    let check = |litres: f64| CheckMade {
        check: Check::BucketTest,
        at: None,
        answers: [("litres", litres), ("seconds", 10.0)]
            .map(|(field, v)| (field.to_owned(), Answer::Number(v)))
            .into(),
    };
    let told = |checks: Vec<CheckMade>| ChecksFile { checks, ..app.told().unwrap() };
    app.tell(told(vec![check(20.0)])).unwrap();
    app.tell(told(vec![check(20.0)])).unwrap();
    app.tell(told(vec![check(2.0)])).unwrap();
    app.stop();
    assert_eq!(app.store().read(|r| r.checks(SystemId(id))).unwrap(), [check(20.0), check(2.0)]);
    assert_eq!(app.told().unwrap().checks, [check(2.0)]);
}

#[test]
fn one_session_at_a_time_and_stopping_keeps_what_came() {
    let (_dir, app) = open();
    let id = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap().id;
    assert_eq!(app.now().unwrap_err().kind, ErrorKind::NotFound);
    app.stop();
    app.start_simulated(id, &simulated(60.0)).unwrap();
    assert_eq!(app.start_simulated(id, &simulated(60.0)).unwrap_err().kind, ErrorKind::Busy);
    let began = Instant::now();
    while app.now().unwrap().session.received < 30 {
        assert!(began.elapsed() < Duration::from_secs(20));
        std::thread::sleep(Duration::from_millis(20));
    }
    app.stop();
    let state = app.now().unwrap().session;
    assert_eq!(state.stage, Stage::Ended);
    assert!(state.failed.is_none(), "{state:?}");
    assert_eq!(state.received, state.saved);
    assert!(state.received < 600);
    assert_eq!(app.samples().unwrap().len() as u64, state.saved);
    app.start_simulated(id, &simulated(0.0)).unwrap();
    assert!(app.wait(Duration::from_mins(1)).unwrap());
    assert_eq!(app.samples().unwrap().len(), 600);
}

#[test]
fn a_cancelled_observer_hears_no_more() {
    let (_dir, app) = open();
    let id = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap().id;
    app.start_simulated(id, &simulated(100.0)).unwrap();
    let (tx, rx) = channel();
    let tx = Mutex::new(tx);
    let watching = app
        .observe(Arc::new(move |_: NowView| {
            let _ = tx.lock().unwrap().send(());
        }))
        .unwrap();
    rx.recv_timeout(Duration::from_secs(5)).unwrap();
    watching.cancel();
    // one may be under way
    std::thread::sleep(Duration::from_millis(400));
    while rx.try_recv().is_ok() {}
    std::thread::sleep(Duration::from_millis(600));
    assert!(rx.try_recv().is_err());
}

#[test]
fn what_cannot_be_simulated_says_what_can() {
    let (_dir, app) = open();
    let id = app.add_system(KESTREL_HOLLOW_TOML, "k.toml").unwrap().id;
    let e = Simulated::of_code("reversed", 1, 0.0).unwrap_err();
    assert!(e.detail.contains("reversed_rotation"), "{e}");
    let worn = Simulated { cause: Cause::WornPump, seed: 1, speed: 0.0, length_s: None };
    let e = app.start_simulated(id, &worn).unwrap_err();
    assert_eq!(e.kind, ErrorKind::BadInput);
    assert!(e.detail.contains("worn_pump") && e.detail.contains("closed_valve"), "{e}");
}
