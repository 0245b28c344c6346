//! One session from the radio to the store: driver, bounded queue, writer, and what the moment shows.
//!
//! Every second what came is written in one batch, raw frames and readings together; it counts as saved once
//! the store has acknowledged it. While the store refuses, what came is kept up to a bound and offered again;
//! what goes beyond is let go, oldest first, counted and told.

mod pending;
mod state;

pub use state::{SessionState, Shared, Stage};

use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use tokio::sync::oneshot;
use tokio::time::{MissedTickBehavior, interval};
use wellwright_device::driver::{Running, SessionEvent};
use wellwright_device::frame::LiveFrame;
use wellwright_device::profile;
use wellwright_device::session::{Card, EndReason, Notice, Phase};
use wellwright_store::{Batch, Committed, Gap, NewSession, RawFrame, Reading, Store, StoreError, SystemId};

use crate::error::AppError;
use crate::frame_clock::FrameClock;

use self::pending::Pending;

/// Readings at which a batch is written before its second is over.
const FULL_BATCH: usize = 512;
/// Instants that go back by more than this come from a clock that was set.
const ONE_CLOCK: TimeDelta = TimeDelta::seconds(5);
/// How long the last batch may take when a session ends.
const LAST_BATCH: Duration = Duration::from_secs(10);

/// Where a session writes and how it tells the time.
#[derive(Debug)]
pub struct Sink {
    /// The store.
    pub store: Store,
    /// Whose readings.
    pub system: SystemId,
    /// Kind of source, before the serial number: `ble` or `sim`.
    pub source: &'static str,
    /// After the serial number: tells one simulated play from another, so that their rows never mix.
    pub play: String,
    /// Instants of frames.
    pub clock: FrameClock,
}

/// Runs a session to its end.
pub async fn follow(mut running: Running, sink: Sink, shared: Arc<Shared>) {
    let mut task = Task {
        sink,
        shared,
        pending: Pending::default(),
        writing: None,
        unopened: None,
        refusing: false,
        gap: None,
    };
    let mut second = interval(Duration::from_secs(1));
    second.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let ended = loop {
        tokio::select! {
            event = running.next() => match event {
                Some(SessionEvent::Ended(reason)) => break Some(reason),
                Some(event) => task.take(event).await,
                None => break None,
            },
            done = written(&mut task.writing) => task.written(done),
            _ = second.tick() => {
                task.open().await;
                task.write();
            }
        }
    };
    task.end(ended).await;
}

#[derive(Debug)]
struct Writing {
    batch: Batch,
    done: oneshot::Receiver<Result<Committed, StoreError>>,
}

#[derive(Debug)]
struct OpenGap {
    from: DateTime<FixedOffset>,
    missing: Option<u32>,
    reason: &'static str,
}

#[derive(Debug)]
struct Task {
    sink: Sink,
    shared: Arc<Shared>,
    pending: Pending,
    writing: Option<Writing>,
    /// The session as the store should begin it, until it has.
    unopened: Option<NewSession>,
    /// The store has refused, and has taken nothing since.
    refusing: bool,
    /// The stretch before the next frame in which something was said and not received, open at its end.
    gap: Option<OpenGap>,
}

impl Task {
    fn tell(&self, change: impl FnOnce(&mut SessionState)) {
        self.shared.state.send_modify(change);
    }

    async fn take(&mut self, event: SessionEvent) {
        match event {
            SessionEvent::Phase(phase) => self.phase(&phase),
            SessionEvent::Identified(card) => self.identified(&card).await,
            SessionEvent::Frame { received_at, frame, raw } => self.frame(received_at, &frame, raw),
            SessionEvent::Gap { lost, .. } => {
                self.open_gap("sequence", Some(lost));
                self.tell(|s| s.lost += u64::from(lost));
            }
            SessionEvent::Notice(notice) => {
                if matches!(notice, Notice::Restarted { .. }) {
                    // how many frames its last life still sent, nobody knows
                    self.open_gap("restart", None);
                }
                // that nothing is kept matters more than noise
                if !self.refusing {
                    let told = told(&notice);
                    self.tell(|s| s.problem = Some(told));
                }
            }
            SessionEvent::Ended(_) => {}
        }
    }

    /// Opens a gap after the last reading; one that is open already stays.
    fn open_gap(&mut self, reason: &'static str, missing: Option<u32>) {
        let Some((_, from)) = self.shared.state.borrow().span else { return };
        self.gap.get_or_insert(OpenGap { from, missing, reason });
    }

    fn phase(&self, phase: &Phase) {
        let (stage, reason) = match phase {
            Phase::Idle | Phase::Searching => (Stage::Searching, None),
            Phase::Connecting(_) | Phase::ReadingNameplate(_) | Phase::Subscribing(_) => {
                (Stage::Connecting, None)
            }
            Phase::Following(_) => (Stage::Following, None),
            Phase::WaitingToTryAgain { reason, .. } => (Stage::Waiting, Some(reason.to_string())),
            Phase::Ended(_) => return,
        };
        // The reason of the last rest stays while it looks again: that is what a person needs to know.
        self.tell(|s| {
            if reason.is_some() || stage == Stage::Following {
                s.reason = reason;
            }
            s.stage = stage;
        });
    }

    async fn identified(&mut self, card: &Card) {
        let serial = card.identity.serial.to_string();
        if self.shared.state.borrow().session.is_some() {
            return;
        }
        let source = format!("{}:{serial}{}", self.sink.source, self.sink.play);
        self.unopened = Some(NewSession {
            system: self.sink.system,
            source: source.clone(),
            serial: Some(serial.clone()),
            at: self.sink.clock.began(card.status.clock),
        });
        self.tell(|s| {
            s.serial = Some(serial);
            s.source = source;
        });
        self.open().await;
    }

    /// Begins the session in the store; tried again every second until the store takes it.
    async fn open(&mut self) {
        let Some(new) = self.unopened.clone() else { return };
        let store = self.sink.store.clone();
        let refused = match tokio::task::spawn_blocking(move || store.append_session(new)).await {
            Ok(Ok(id)) => {
                self.unopened = None;
                self.taken(|s| s.session = Some(id));
                return;
            }
            Ok(Err(e)) => e.to_string(),
            Err(e) => e.to_string(),
        };
        self.refused(refused);
    }

    fn frame(&mut self, received: DateTime<FixedOffset>, frame: &LiveFrame, raw: Vec<u8>) {
        let at = self.sink.clock.instant(received, frame);
        let sample = frame.to_sample(at);
        self.shared.live().push(&sample);
        if let Some(OpenGap { from, missing, reason }) = self.gap.take() {
            self.pending.push_gap(Gap { from: from.min(at), to: at, missing, reason: reason.to_owned() });
        }
        let device_ms = i64::try_from(frame.uptime_ms).ok();
        let raw = RawFrame { received, characteristic: profile::LIVE, bytes: raw };
        let over = self.pending.push(raw, Reading { sample, device_ms });
        self.tell(|s| {
            s.received += 1;
            s.unsaved += over as u64;
            // a clock that was set back begins anew: what came before it lies in its future
            s.span = Some(match s.span {
                Some((from, to)) if at >= to - ONE_CLOCK => (from.min(at), to.max(at)),
                _ => (at, at),
            });
        });
        // a store that refuses is asked once a second, not with every frame
        if self.pending.readings() >= FULL_BATCH && !self.refusing {
            self.write();
        }
    }

    /// Offers what is pending to the store, if nothing is under way.
    fn write(&mut self) {
        let Some(session) = self.shared.state.borrow().session else { return };
        if self.writing.is_some() || self.pending.is_empty() {
            return;
        }
        let batch = self.pending.take(session);
        let (tx, done) = oneshot::channel();
        let offered = self.sink.store.try_append(batch.clone(), |outcome| {
            // Without a reader the session is over and nobody waits for the outcome.
            let _ = tx.send(outcome);
        });
        match offered {
            Ok(()) => self.writing = Some(Writing { batch, done }),
            Err(e) => self.put_back(batch, &e),
        }
    }

    fn written(&mut self, (batch, outcome): (Batch, Result<Committed, StoreError>)) {
        match outcome {
            Ok(committed) => {
                self.pending.stored(&batch);
                self.taken(|s| s.saved += (committed.readings + committed.known) as u64);
            }
            Err(e) => self.put_back(batch, &e),
        }
    }

    /// A batch that was refused is offered again with what comes next.
    fn put_back(&mut self, batch: Batch, error: &StoreError) {
        let over = self.pending.put_back(batch);
        self.tell(|s| s.unsaved += over as u64);
        self.refused(error.to_string());
    }

    fn taken(&mut self, change: impl FnOnce(&mut SessionState)) {
        // what else is wrong is still to be read
        let over = std::mem::take(&mut self.refusing);
        self.tell(|s| {
            s.problem.take_if(|_| over);
            change(s);
        });
    }

    fn refused(&mut self, error: String) {
        tracing::warn!(error, "the store refused");
        self.refusing = true;
        self.tell(|s| s.problem = Some(error));
    }

    async fn end(&mut self, reason: Option<EndReason>) {
        let last = async {
            self.open().await;
            // what is under way, what came since, and one more try
            for _ in 0..3 {
                self.write();
                if self.writing.is_none() {
                    break;
                }
                let done = written(&mut self.writing).await;
                self.written(done);
            }
        };
        if tokio::time::timeout(LAST_BATCH, last).await.is_err() {
            tracing::warn!("the store did not take the last batch in time");
        }
        let text = reason.as_ref().map_or_else(|| "stopped".to_owned(), ToString::to_string);
        let state = self.shared.state();
        if let (Some(session), Some((_, at))) = (state.session, state.span) {
            let (store, reason) = (self.sink.store.clone(), text.clone());
            let ended = tokio::task::spawn_blocking(move || store.end_session(session, at, &reason)).await;
            if let Ok(Err(error)) = ended {
                tracing::warn!(%error, "the end of the session was not written");
            }
        }
        // what the store was still at when its time was over, nobody acknowledged
        let under_way = self.writing.as_ref().map_or(0, |w| w.batch.readings());
        let unsaved = (self.pending.readings() + under_way) as u64;
        self.tell(|s| {
            s.stage = Stage::Ended;
            s.unsaved += unsaved;
            s.failed = reason.as_ref().filter(|r| **r != EndReason::Stopped).map(AppError::from);
            s.reason = Some(text);
        });
    }
}

/// Waits for the batch that is under way and takes it.
async fn written(writing: &mut Option<Writing>) -> (Batch, Result<Committed, StoreError>) {
    let Some(w) = writing.as_mut() else { return std::future::pending().await };
    let outcome = (&mut w.done).await.unwrap_or(Err(StoreError::Closed));
    match writing.take() {
        Some(w) => (w.batch, outcome),
        None => std::future::pending().await,
    }
}

fn told(notice: &Notice) -> String {
    match notice {
        Notice::Faults(f) => format!("{} notifications could not be read and were left out", f.total()),
        Notice::Overflow { lost } => format!("{lost} notifications came faster than they could be taken"),
        Notice::Flood { dropped } => {
            format!("the controller sends far too much; {dropped} notifications left out")
        }
        Notice::Repeated { frames } => format!("{frames} frames came twice and were left out"),
        Notice::Restarted { .. } => "the controller restarted".to_owned(),
        Notice::NotThisOne { serial, .. } => {
            format!("another controller, {serial}, is in reach and left alone")
        }
    }
}
