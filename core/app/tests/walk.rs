//! From the simulated controller through memory link, session and store to a finding that is read back, and
//! the same answer from the file that was exported on the way.

use std::time::Duration;

use wellwright_app::assess::{Question, assess, told_toml};
use wellwright_app::text::Words;
use wellwright_app::{App, Simulated};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};
use wellwright_domain::files::checks::{ChecksFile, read_checks};
use wellwright_domain::files::telemetry::{read_telemetry, write_telemetry};
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::sample::Sample;
use wellwright_store::{Options, Store, SystemId};

struct Walked {
    live: Finding,
    stored: Finding,
    samples: Vec<Sample>,
    told: ChecksFile,
    frames: usize,
    session_ended: bool,
}

fn walk(toml: &str, cause: Cause, seed: u64) -> Walked {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("walk.db");
    let app = App::open(&path, Words::english()).unwrap();
    let system = app.add_system(toml, "walk.system.toml").unwrap();
    app.start_simulated(system.id, &Simulated { cause, seed, speed: 0.0, length_s: None }).unwrap();
    assert!(app.wait(Duration::from_mins(2)).unwrap());
    let state = app.now().unwrap().session;
    assert_eq!((state.received, state.saved, state.lost, state.unsaved), (2400, 2400, 0, 0), "{state:?}");
    let live = app.finding().unwrap().finding;
    let samples = app.samples().unwrap();
    let told = app.told().unwrap();
    drop(app);
    // another program, later
    let store = Store::open(&path, &Options::default()).unwrap().store;
    let id = SystemId(system.id);
    store
        .read(|r| {
            let sessions = r.sessions(id)?;
            assert_eq!(sessions.len(), 1);
            Ok(Walked {
                live,
                stored: r.latest_finding(id)?.expect("a finding").finding,
                samples,
                told,
                frames: r.frames(sessions[0].id)?.len(),
                session_ended: sessions[0].ended.is_some(),
            })
        })
        .unwrap()
}

#[test]
fn a_finding_is_read_back_from_the_store_with_all_that_it_rests_on() {
    let w = walk(KESTREL_HOLLOW_TOML, Cause::ReversedRotation, 3);
    assert_eq!(w.live.leading().unwrap().code, Cause::ReversedRotation);
    assert_eq!(w.stored, w.live);
    assert_eq!((w.frames, w.samples.len(), w.live.window.rows), (2400, 2400, 2400));
    assert!(w.session_ended);
    assert!(w.samples.windows(2).all(|p| (p[1].at - p[0].at).num_milliseconds() == 1000));
}

#[test]
fn what_is_exported_gives_the_same_leading_cause() {
    let cases = [
        (KESTREL_HOLLOW_TOML, Cause::ReversedRotation, 5),
        (KESTREL_HOLLOW_TOML, Cause::PartialShade, 2),
        (KESTREL_HOLLOW_TOML, Cause::Healthy, 1),
        // a thin cable and a bad joint look alike from above, shade and a lowered limit too: the situation parts them
        (DOVECOTE_BEND_TOML, Cause::UndersizedDropCable, 1),
    ];
    for (toml, cause, seed) in cases {
        let w = walk(toml, cause, seed);
        let leading = w.live.leading().unwrap().code;
        let place = w.live.causes.iter().position(|c| c.code == cause).unwrap();
        // shade on one string and other reasons to run off the best point are alike from above
        assert!(place == 0 || (cause == Cause::PartialShade && place < 3), "{cause:?}: {leading:?}");
        let columns: Vec<Channel> =
            Channel::ALL.into_iter().filter(|c| w.samples.iter().any(|s| s.raw(*c).is_some())).collect();
        let csv = write_telemetry(&w.samples, &columns);
        let read = read_telemetry(csv.as_bytes(), "walk.csv").unwrap();
        assert_eq!((read.samples.len(), read.bad_rows.len()), (w.samples.len(), 0));
        let system = wellwright_domain::record::System::from_toml(toml, "walk.system.toml").unwrap();
        let told = match cause {
            Cause::UndersizedDropCable | Cause::PartialShade => {
                read_checks(&told_toml(&w.told), "walk.checks.toml").unwrap()
            }
            _ => ChecksFile::default(),
        };
        let q =
            Question { system: &system, samples: &read.samples, told: &told, baseline: None, without: &[] };
        let from_file = assess(&q).unwrap().finding;
        assert_eq!(from_file.leading().unwrap().code, leading, "{}", system.name);
        assert_eq!(from_file.verdict == Verdict::Healthy, w.live.verdict == Verdict::Healthy);
    }
}
