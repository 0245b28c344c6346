//! Where a session stands, and what its task shares with those who look on.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, FixedOffset};
use tokio::sync::watch;
use wellwright_store::SessionId;

use crate::error::AppError;
use crate::live::Live;

/// Where a session stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Stage {
    /// Looking for the controller.
    #[default]
    Searching,
    /// Connecting, reading its nameplate, subscribing.
    Connecting,
    /// Live values come.
    Following,
    /// Resting before the next try.
    Waiting,
    /// Over.
    Ended,
}

impl Stage {
    /// Stable code; also the end of a text's id.
    pub const fn code(&self) -> &'static str {
        match self {
            Stage::Searching => "searching",
            Stage::Connecting => "connecting",
            Stage::Following => "following",
            Stage::Waiting => "waiting",
            Stage::Ended => "ended",
        }
    }
}

/// What a session tells about itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SessionState {
    /// Where it stands.
    pub stage: Stage,
    /// Why it waits or ended, in words.
    pub reason: Option<String>,
    /// Serial number of the controller.
    pub serial: Option<String>,
    /// Its number in the store, once it is identified.
    pub session: Option<SessionId>,
    /// Who speaks, as the store calls it.
    pub source: String,
    /// Frames received.
    pub received: u64,
    /// Readings that the store has acknowledged.
    pub saved: u64,
    /// Frames that were sent and never came.
    pub lost: u64,
    /// Readings that the store refused and that had to be let go.
    pub unsaved: u64,
    /// What is wrong besides, in words: the store refuses, the controller sends noise.
    pub problem: Option<String>,
    /// Instants of the first and the last reading by one clock: one that was set back begins anew.
    pub span: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
    /// Ended by something other than a stop that was asked for.
    pub failed: Option<AppError>,
}

/// What the session's task and its readers share.
#[derive(Debug)]
pub struct Shared {
    live: Mutex<Live>,
    pub(super) state: watch::Sender<SessionState>,
}

impl Shared {
    /// Nothing heard yet.
    pub fn new(live: Live) -> Arc<Shared> {
        Arc::new(Shared { live: Mutex::new(live), state: watch::Sender::new(SessionState::default()) })
    }

    /// The tracker of the moment.
    pub fn live(&self) -> MutexGuard<'_, Live> {
        // Nothing between lock and unlock can leave the tracker half changed.
        self.live.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The state now.
    pub fn state(&self) -> SessionState {
        self.state.borrow().clone()
    }

    /// Follows the state.
    pub fn subscribe(&self) -> watch::Receiver<SessionState> {
        self.state.subscribe()
    }
}
