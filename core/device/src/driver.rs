//! The one task that runs a session on a link: it does what the machine wants and tells what it says.

use std::collections::VecDeque;
use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use tokio::sync::{mpsc, watch};
use tokio::time::{Instant, sleep_until, timeout};

use crate::frame::LiveFrame;
use crate::link::{Link, LinkError};
use crate::profile::Readable;
use crate::queue::LinkEvent;
use crate::session::{
    Card, Effect, EndReason, Event, Notice, PeripheralId, Phase, Policy, RawCard, Session, Target,
};

/// Events that may wait for the reader; when they are full, the radio's queue fills next and counts.
const EVENTS: usize = 256;
/// How long giving up a connection or a search may hold up what comes after.
const CLEAN_UP: Duration = Duration::from_secs(5);
/// How long the radio may take to begin a search.
const START_SEARCH: Duration = Duration::from_secs(10);

/// What a session tells.
#[derive(Debug, Clone, PartialEq)]
pub enum SessionEvent {
    /// The state is now this.
    Phase(Phase),
    /// Who it is; once after each connection.
    Identified(Box<Card>),
    /// A new frame, in order, never twice.
    Frame {
        /// When it came, by the wall clock.
        received_at: DateTime<FixedOffset>,
        /// Decoded.
        frame: Box<LiveFrame>,
        /// Its bytes, to be kept.
        raw: Vec<u8>,
    },
    /// Frames that were sent and never came, before the next frame.
    Gap {
        /// First number that is missing.
        from: u32,
        /// Last number that is missing.
        to: u32,
        /// How many.
        lost: u32,
    },
    /// Worth telling.
    Notice(Notice),
    /// Over; nothing follows.
    Ended(EndReason),
}

/// Gives the wall-clock time.
pub type WallClock = Arc<dyn Fn() -> DateTime<FixedOffset> + Send + Sync>;

/// How to run a session.
#[derive(Clone)]
pub struct Config {
    /// Whom to follow.
    pub target: Target,
    /// How patient to be.
    pub policy: Policy,
    /// Decides the jitter of rests.
    pub seed: u64,
    /// Where received times come from.
    pub wall_clock: WallClock,
}

impl Config {
    /// For a target, with a real radio's policy and this machine's clock.
    pub fn new(target: Target) -> Config {
        let wall_clock: WallClock = Arc::new(|| Local::now().fixed_offset());
        // Only phones that start at the very same nanosecond share their rests.
        let seed = wall_clock().timestamp_nanos_opt().unwrap_or_default() as u64;
        Config { target, policy: Policy::default(), seed, wall_clock }
    }

    /// The same with another policy.
    #[must_use]
    pub fn with_policy(mut self, policy: Policy) -> Config {
        self.policy = policy;
        self
    }
}

/// A running session. Dropping it ends the session.
#[derive(Debug)]
pub struct Running {
    events: mpsc::Receiver<SessionEvent>,
    stop: watch::Sender<bool>,
}

impl Running {
    /// The next event; `None` after the session has ended.
    pub async fn next(&mut self) -> Option<SessionEvent> {
        self.events.recv().await
    }

    /// Asks it to end: it disconnects, and `Ended` is the last event.
    pub fn stop(&self) {
        self.stop.send_replace(true);
    }

    /// A handle that can stop it from elsewhere.
    pub fn stopper(&self) -> Stopper {
        Stopper { stop: self.stop.clone() }
    }
}

/// Stops a session from elsewhere.
#[derive(Debug, Clone)]
pub struct Stopper {
    stop: watch::Sender<bool>,
}

impl Stopper {
    /// As [`Running::stop`].
    pub fn stop(&self) {
        self.stop.send_replace(true);
    }
}

/// Starts a session on a link; needs a Tokio runtime.
pub fn start<L: Link>(link: L, config: Config) -> Running {
    let (tx, events) = mpsc::channel(EVENTS);
    let (stop, stopped) = watch::channel(false);
    tokio::spawn(Actor::new(link, config, tx).run(stopped));
    Running { events, stop }
}

type Job = Pin<Box<dyn Future<Output = Option<Event>> + Send>>;

/// A piece of work for the link.
enum Work {
    StartSearch,
    StopSearch,
    Connect { attempt: u32, id: PeripheralId },
    ReadCard { attempt: u32 },
    Subscribe { attempt: u32 },
    Disconnect,
}

impl Work {
    /// True for what is of no use once the connection is given up.
    const fn is_for_connection(&self) -> bool {
        matches!(self, Work::Connect { .. } | Work::ReadCard { .. } | Work::Subscribe { .. })
    }
}

/// Work that is under way.
struct UnderWay {
    for_connection: bool,
    job: Job,
}

struct Actor<L> {
    link: Arc<L>,
    session: Session,
    wall_clock: WallClock,
    began: Instant,
    waiting: VecDeque<Work>,
    under_way: Option<UnderWay>,
    tx: mpsc::Sender<SessionEvent>,
}

impl<L: Link> Actor<L> {
    fn new(link: L, config: Config, tx: mpsc::Sender<SessionEvent>) -> Actor<L> {
        Actor {
            link: Arc::new(link),
            session: Session::new(config.target, config.policy, config.seed),
            wall_clock: config.wall_clock,
            began: Instant::now(),
            waiting: VecDeque::new(),
            under_way: None,
            tx,
        }
    }

    async fn run(mut self, mut stopped: watch::Receiver<bool>) {
        let mut event = Event::Start;
        loop {
            let at = Instant::now();
            let mut interrupted = false;
            for effect in self.session.step(event, self.ms(at)) {
                if let Effect::Ended(reason) = effect {
                    // First let go of the radio: the reader may be slow.
                    self.clean_up().await;
                    let _ = self.tx.send(SessionEvent::Ended(reason)).await;
                    return;
                }
                if let Some(told) = self.take(effect, at)
                    && !self.send(told, &mut stopped).await
                {
                    interrupted = true;
                }
            }
            event = if interrupted { Event::Stop } else { self.next(&mut stopped).await };
        }
    }

    /// The next thing that happens. Work for the link goes on meanwhile, one piece after another.
    async fn next(&mut self, stopped: &mut watch::Receiver<bool>) -> Event {
        loop {
            if self.under_way.is_none() {
                self.under_way = self.waiting.pop_front().map(|work| self.begin(work));
            }
            let deadline = self.session.deadline().map(|ms| self.began + Duration::from_millis(ms));
            tokio::select! {
                biased;
                () = asked_to_stop(stopped) => return Event::Stop,
                () = self.tx.closed() => return Event::Stop,
                answer = finished(&mut self.under_way) => {
                    self.under_way = None;
                    if let Some(event) = answer {
                        return event;
                    }
                }
                event = self.link.queue().next() => return self.told_by_link(event),
                () = sleep_to(deadline) => return Event::Tick,
            }
        }
    }

    fn ms(&self, at: Instant) -> u64 {
        at.saturating_duration_since(self.began).as_millis() as u64
    }

    fn told_by_link(&self, event: LinkEvent) -> Event {
        match event {
            LinkEvent::Seen(sighting) => Event::Seen(sighting),
            LinkEvent::Notification { at, bytes } => Event::Notification { at_ms: self.ms(at), bytes },
            LinkEvent::Overflow(lost) => Event::Overflow { lost },
            LinkEvent::LinkLost(id) => Event::LinkLost(id),
            LinkEvent::RadioOff => Event::RadioOff,
        }
    }

    /// Queues what is for the link; gives back what is to be told.
    fn take(&mut self, effect: Effect, at: Instant) -> Option<SessionEvent> {
        let work = match effect {
            Effect::StartSearch => Work::StartSearch,
            Effect::StopSearch => Work::StopSearch,
            Effect::Connect { attempt, id } => Work::Connect { attempt, id },
            Effect::ReadCard { attempt } => Work::ReadCard { attempt },
            Effect::Subscribe { attempt } => Work::Subscribe { attempt },
            Effect::Disconnect => {
                // Whatever is under way on the connection is of no use any more.
                self.under_way.take_if(|w| w.for_connection);
                self.waiting.retain(|w| !w.is_for_connection());
                Work::Disconnect
            }
            Effect::Phase(phase) => return Some(SessionEvent::Phase(phase)),
            Effect::Identified(card) => return Some(SessionEvent::Identified(card)),
            Effect::Deliver(received) => {
                let age_ms = self.ms(at).saturating_sub(received.at_ms);
                let age = TimeDelta::milliseconds(age_ms.cast_signed());
                let received_at = (self.wall_clock)() - age;
                return Some(SessionEvent::Frame {
                    received_at,
                    frame: Box::new(received.frame),
                    raw: received.raw,
                });
            }
            Effect::Gap { from, to, lost } => return Some(SessionEvent::Gap { from, to, lost }),
            Effect::Notice(notice) => return Some(SessionEvent::Notice(notice)),
            Effect::Ended(reason) => return Some(SessionEvent::Ended(reason)),
        };
        self.waiting.push_back(work);
        None
    }

    /// Tells the reader, waiting for room; false when it is gone or has asked to stop.
    async fn send(&mut self, event: SessionEvent, stopped: &mut watch::Receiver<bool>) -> bool {
        tokio::select! {
            biased;
            sent = self.tx.send(event) => sent.is_ok(),
            () = asked_to_stop(stopped) => false,
        }
    }

    fn begin(&self, work: Work) -> UnderWay {
        UnderWay { for_connection: work.is_for_connection(), job: self.job_for(work) }
    }

    fn job_for(&self, work: Work) -> Job {
        let link = self.link.clone();
        match work {
            Work::StartSearch => Box::pin(async move {
                link.queue().forget_sightings();
                let started = timeout(START_SEARCH, link.start_search()).await;
                let late = || LinkError::Failed("no answer when the search was started".into());
                started.unwrap_or_else(|_| Err(late())).err().map(Event::SearchFailed)
            }),
            Work::StopSearch => Box::pin(async move {
                tidy("stop the search", link.stop_search()).await;
                None
            }),
            Work::Connect { attempt, id } => Box::pin(async move {
                let done = async {
                    link.connect(&id).await?;
                    link.discover().await
                };
                Some(answer(attempt, done.await, |()| Event::Connected { attempt }))
            }),
            Work::ReadCard { attempt } => Box::pin(async move {
                let read = read_card(&*link).await;
                Some(answer(attempt, read, |raw| Event::CardRead { attempt, raw: Box::new(raw) }))
            }),
            Work::Subscribe { attempt } => Box::pin(async move {
                Some(answer(attempt, link.subscribe().await, |()| Event::Subscribed { attempt }))
            }),
            Work::Disconnect => Box::pin(async move {
                tidy("disconnect", link.disconnect()).await;
                None
            }),
        }
    }

    /// Does the last pieces of work (stopping the search, disconnecting) before the link is dropped.
    async fn clean_up(&mut self) {
        if let Some(under_way) = self.under_way.take_if(|w| !w.for_connection) {
            // Its answer has no reader any more.
            let _ = timeout(CLEAN_UP, under_way.job).await;
        }
        while let Some(work) = self.waiting.pop_front() {
            if matches!(work, Work::StopSearch | Work::Disconnect) {
                let _ = self.job_for(work).await;
            }
        }
    }
}

fn answer<T>(attempt: u32, result: Result<T, LinkError>, done: impl FnOnce(T) -> Event) -> Event {
    match result {
        Ok(value) => done(value),
        Err(error) => Event::Failed { attempt, error },
    }
}

/// Reads everything the profile has to read; what it requires and the peripheral lacks is an error.
async fn read_card<L: Link>(link: &L) -> Result<RawCard, LinkError> {
    let mut raw = RawCard::default();
    for which in Readable::ALL {
        match link.read(which).await {
            Ok(Some(value)) => raw.set(which, value),
            Ok(None) if which.is_required() => return Err(LinkError::NotThisProfile(which.code())),
            Ok(None) => {}
            Err(error) if which.is_required() => return Err(error),
            Err(error) => tracing::warn!(%error, which = which.code(), "a text could not be read"),
        }
    }
    Ok(raw)
}

async fn tidy(what: &str, work: impl Future<Output = Result<(), LinkError>>) {
    match timeout(CLEAN_UP, work).await {
        Ok(Ok(())) => {}
        Ok(Err(error)) => tracing::debug!(%error, "could not {what}"),
        Err(_) => tracing::warn!("could not {what} in time"),
    }
}

async fn asked_to_stop(stopped: &mut watch::Receiver<bool>) {
    if stopped.wait_for(|yes| *yes).await.is_err() {
        // The handle is gone; the closed channel tells the same.
        std::future::pending::<()>().await;
    }
}

async fn finished(under_way: &mut Option<UnderWay>) -> Option<Event> {
    match under_way {
        Some(UnderWay { job, .. }) => job.await,
        None => std::future::pending().await,
    }
}

async fn sleep_to(deadline: Option<Instant>) {
    match deadline {
        Some(deadline) => sleep_until(deadline).await,
        None => std::future::pending().await,
    }
}
