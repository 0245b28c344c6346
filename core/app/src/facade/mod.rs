//! The one object that shells hold: systems, a session, the moment, findings.
//!
//! Every call may come from any thread that is not a Tokio task; calls that wait for the store or a radio
//! block. One session at a time.

mod start;
mod types;

pub use types::{NowView, Observer, Simulated, Subscription, SystemInfo};

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use tokio::runtime::{Builder, Handle, Runtime};
use tokio::sync::watch;
use wellwright_device::driver::Stopper;
use wellwright_domain::files::checks::ChecksFile;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_store::{NewRecord, Options, Store, SystemId};

use crate::assess::{Assessment, KnownGood, Question, assess};
use crate::error::{AppError, ErrorKind};
use crate::live::Live;
use crate::now as moment;
use crate::page::PageView;
use crate::report;
use crate::session::{self, SessionState, Shared};
use crate::text::Words;

/// Shortest time between two views given to an observer: at most four a second.
const BETWEEN_VIEWS: Duration = Duration::from_millis(250);
/// How long what a simulated controller has sent may be on its way.
const ON_ITS_WAY: Duration = Duration::from_secs(5);
/// A look goes back at most so far.
const LOOK_BACK: TimeDelta = TimeDelta::hours(2);

struct Current {
    id: SystemId,
    system: System,
    simulated: bool,
    shared: Arc<Shared>,
    stopper: Stopper,
    told: ChecksFile,
}

/// The program without a face.
pub struct App {
    store: Store,
    set_aside: Option<String>,
    words: Words<'static>,
    current: Mutex<Option<Current>>,
    without: Mutex<Vec<String>>,
    runtime: Option<Runtime>,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("store", &self.store.path()).finish_non_exhaustive()
    }
}

impl App {
    /// Opens the store in this file, making it when there is none.
    ///
    /// # Errors
    /// [`ErrorKind::Store`].
    pub fn open(path: impl AsRef<Path>, words: Words<'static>) -> Result<App, AppError> {
        let opened = Store::open(path, &Options::default())?;
        let runtime = Builder::new_multi_thread()
            .worker_threads(2)
            .thread_name("wellwright")
            .enable_all()
            .build()
            .map_err(|e| AppError::new(ErrorKind::Internal, format!("no threads could be started ({e})")))?;
        Ok(App {
            store: opened.store,
            set_aside: opened.set_aside.map(|a| a.to_string()),
            words,
            current: Mutex::new(None),
            without: Mutex::new(Vec::new()),
            runtime: Some(runtime),
        })
    }

    /// Said once: the store was damaged, and where the damaged file is kept.
    pub fn set_aside(&self) -> Option<&str> {
        self.set_aside.as_deref()
    }

    /// The store.
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// Every system, by name.
    ///
    /// # Errors
    /// [`ErrorKind::Store`].
    pub fn systems(&self) -> Result<Vec<SystemInfo>, AppError> {
        let rows = self.store.read(wellwright_store::Reader::systems)?;
        Ok(rows
            .into_iter()
            .map(|s| SystemInfo { id: s.id.0, name: s.name, recorded: s.record_hash.is_some() })
            .collect())
    }

    /// Adds a system from the text of its record, or a version of one that bears this name already.
    ///
    /// # Errors
    /// [`ErrorKind::BadInput`] in one line that names file, line and field; [`ErrorKind::Store`].
    pub fn add_system(&self, toml: &str, file_name: &str) -> Result<SystemInfo, AppError> {
        let system = System::from_toml(toml, file_name)?;
        // what cannot be computed is refused before it is kept
        Live::new(&system)?;
        let at = now();
        let id = self.store.system_named(&system.name, at)?;
        let parent = self.store.read(|r| r.latest_record(id))?.map(|v| v.hash);
        let record = NewRecord { name: system.name.clone(), toml: toml.to_owned(), parent, at };
        self.store.save_record(id, record)?;
        Ok(SystemInfo { id: id.0, name: system.name, recorded: true })
    }

    /// The latest record of a system.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when there is none; [`ErrorKind::Store`].
    pub fn record(&self, system: i64) -> Result<System, AppError> {
        let version = self.store.read(|r| r.latest_record(SystemId(system)))?.ok_or_else(|| {
            AppError::new(ErrorKind::NotFound, format!("system number {system} has no record: add it first"))
        })?;
        Ok(System::from_toml(&version.toml, &version.name)?)
    }

    /// Gives views of the session to an observer, from a thread of its own.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started.
    pub fn observe(&self, observer: Arc<dyn Observer>) -> Result<Subscription, AppError> {
        let (shared, system, simulated) = {
            let current = self.current();
            let c = current.as_ref().ok_or_else(no_session)?;
            (c.shared.clone(), c.system.name.clone(), c.simulated)
        };
        let cancelled = Arc::new(AtomicBool::new(false));
        let wake = watch::Sender::new(());
        let (handle, words) = (self.handle().clone(), self.words);
        let (stop, mut woken) = (cancelled.clone(), wake.subscribe());
        let work = move || {
            let mut states = shared.subscribe();
            while !stop.load(Ordering::Relaxed) {
                let began = Instant::now();
                let state = states.borrow_and_update().clone();
                let over = state.stage == session::Stage::Ended;
                observer.now(view_of(&shared, &system, simulated, state, &words));
                if over {
                    return;
                }
                handle.block_on(async {
                    let more = async {
                        // An error means that the session is gone; the last state was shown.
                        let _ = states.changed().await;
                        tokio::time::sleep(BETWEEN_VIEWS.saturating_sub(began.elapsed())).await;
                    };
                    tokio::select! { () = more => {}, _ = woken.changed() => {} }
                });
            }
        };
        std::thread::Builder::new()
            .name("wellwright-observer".into())
            .spawn(work)
            .map_err(|e| AppError::new(ErrorKind::Internal, format!("no thread could be started ({e})")))?;
        Ok(Subscription { cancelled, wake })
    }

    /// The view of this moment.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started.
    pub fn now(&self) -> Result<NowView, AppError> {
        let current = self.current();
        let c = current.as_ref().ok_or_else(no_session)?;
        Ok(view_of(&c.shared, &c.system.name, c.simulated, c.shared.state(), &self.words))
    }

    /// Waits until the session has ended or `longest` is over; true when it has ended.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started.
    pub fn wait(&self, longest: Duration) -> Result<bool, AppError> {
        let shared = self.current().as_ref().ok_or_else(no_session)?.shared.clone();
        let mut states = shared.subscribe();
        let ended = self.handle().block_on(async {
            tokio::time::timeout(longest, states.wait_for(|s| s.stage == session::Stage::Ended)).await.is_ok()
        });
        Ok(ended)
    }

    /// What the person says: situation, touched, noticed, checks. It replaces what was said before; every check
    /// that is new is kept, also when it is taken back later.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started; [`ErrorKind::Store`] when a check could not be kept:
    /// then nothing of what was told counts.
    pub fn tell(&self, told: ChecksFile) -> Result<(), AppError> {
        let mut current = self.current();
        let c = current.as_mut().ok_or_else(no_session)?;
        for made in told.checks.iter().filter(|made| !c.told.checks.contains(made)) {
            self.store.save_check(c.id, made.clone(), now())?;
        }
        c.told = told;
        Ok(())
    }

    /// What the person has said so far; for a simulated session what a person there would say.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started.
    pub fn told(&self) -> Result<ChecksFile, AppError> {
        Ok(self.current().as_ref().ok_or_else(no_session)?.told.clone())
    }

    /// Tools that are not at hand, by their names in [`crate::tools`]: checks that need one are not suggested.
    pub fn without_tools(&self, tools: Vec<String>) {
        *self.without.lock().unwrap_or_else(PoisonError::into_inner) = tools;
    }

    /// What the store holds of the session's last two hours, in time order.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started; [`ErrorKind::Store`].
    pub fn samples(&self) -> Result<Vec<Sample>, AppError> {
        let current = self.current();
        let c = current.as_ref().ok_or_else(no_session)?;
        let state = c.shared.state();
        let Some((from, to)) = state.span else { return Ok(Vec::new()) };
        let from = from.max(to - LOOK_BACK);
        let rows = self.store.read(|r| r.readings(c.id, from, to + TimeDelta::milliseconds(1)))?;
        // by source, not by session: a row that was known already stays with the session that brought it first
        Ok(rows.into_iter().filter(|r| r.source == state.source).map(|r| r.sample).collect())
    }

    /// Ranks the causes for what the store holds of the session, and keeps the finding.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started; [`ErrorKind::Store`].
    pub fn finding(&self) -> Result<Assessment, AppError> {
        let samples = self.samples()?;
        let (id, system, told) = {
            let current = self.current();
            let c = current.as_ref().ok_or_else(no_session)?;
            (c.id, c.system.clone(), c.told.clone())
        };
        // a session holds no files beside the record
        let baseline = system.baseline.as_deref().map(|name| KnownGood { name, samples: None });
        let without = self.without.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let question =
            Question { system: &system, samples: &samples, told: &told, baseline, without: &without };
        let assessment = assess(&question)?;
        self.store.save_finding(id, assessment.finding.clone(), now())?;
        Ok(assessment)
    }

    /// What the page of the session is made from, for a finding about it.
    ///
    /// # Errors
    /// [`ErrorKind::NotFound`] when no session was started; [`ErrorKind::Store`].
    pub fn page(&self, finding: &Assessment) -> Result<PageView, AppError> {
        let samples = self.samples()?;
        let (system, simulated) = {
            let current = self.current();
            let c = current.as_ref().ok_or_else(no_session)?;
            (c.system.clone(), c.simulated)
        };
        let note = simulated.then(|| self.words.texts.text("page.simulated").to_owned());
        report::page_view(&system, &samples, finding.finding.clone(), note, &self.words)
    }

    /// Ends the session, waiting until what came is written. Without a session it does nothing.
    pub fn stop(&self) {
        if let Some(c) = self.current().as_ref() {
            c.stopper.stop();
        }
        // Nothing to wait for without a session.
        let _ = self.wait(Duration::from_secs(20));
    }

    fn current(&self) -> MutexGuard<'_, Option<Current>> {
        self.current.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The place of the session, when none is under way.
    fn free(&self) -> Result<MutexGuard<'_, Option<Current>>, AppError> {
        let current = self.current();
        if current.as_ref().is_some_and(|c| c.shared.state().stage != session::Stage::Ended) {
            return Err(AppError::new(ErrorKind::Busy, "a session is under way: stop it first"));
        }
        Ok(current)
    }

    fn handle(&self) -> &Handle {
        self.runtime.as_ref().map(Runtime::handle).expect("the runtime lives as long as the app")
    }
}

impl Drop for App {
    fn drop(&mut self) {
        self.stop();
        self.store.close();
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_timeout(Duration::from_secs(2));
        }
    }
}

fn view_of(
    shared: &Shared,
    system: &str,
    simulated: bool,
    session: SessionState,
    words: &Words<'_>,
) -> NowView {
    let live = shared.live().clone();
    let now = live.moment().map(|m| moment::now(&live, &m, words));
    let id = format!("session.{}", session.stage.code());
    let stage = words.texts.text(&id).to_owned();
    NowView { system: system.to_owned(), simulated, session, stage, now }
}

fn no_session() -> AppError {
    AppError::new(ErrorKind::NotFound, "no session was started")
}

fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}
