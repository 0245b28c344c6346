//! What goes in and out of the facade: small values that every shell can hold.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tokio::sync::watch;
use wellwright_domain::cause::Cause;
use wellwright_sim::Fault;

use crate::error::{AppError, ErrorKind};
use crate::now::Now;
use crate::session::SessionState;

/// A system in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SystemInfo {
    /// Number in this store.
    pub id: i64,
    /// Name.
    pub name: String,
    /// It has a record.
    pub recorded: bool,
}

/// What a session shows: where it stands, and what the system does now.
#[derive(Debug, Clone, PartialEq)]
pub struct NowView {
    /// Name of the system.
    pub system: String,
    /// Simulated.
    pub simulated: bool,
    /// State of the session.
    pub session: SessionState,
    /// State in words.
    pub stage: String,
    /// The moment; `None` before the first reading.
    pub now: Option<Now>,
}

/// Takes views. Called from a thread of its own, never twice at once.
pub trait Observer: Send + Sync {
    /// The latest view: the first at once, then at most four a second, the last when the session has ended.
    fn now(&self, view: NowView);
}

impl<F: Fn(NowView) + Send + Sync> Observer for F {
    fn now(&self, view: NowView) {
        self(view);
    }
}

/// An observer at work; dropping it ends it.
#[derive(Debug)]
pub struct Subscription {
    pub(super) cancelled: Arc<AtomicBool>,
    pub(super) wake: watch::Sender<()>,
}

impl Subscription {
    /// No more views; one that is under way may still end.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
        self.wake.send_replace(());
    }
}

impl Drop for Subscription {
    fn drop(&mut self) {
        self.cancel();
    }
}

/// How to start a simulated controller.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulated {
    /// What is wrong.
    pub cause: Cause,
    /// Decides every draw.
    pub seed: u64,
    /// Simulated seconds in a second; 0: as fast as it goes.
    pub speed: f64,
    /// Another length than the usual 40 minutes, s.
    pub length_s: Option<u32>,
}

impl Simulated {
    /// A cause by its code.
    ///
    /// # Errors
    /// A code that is no cause.
    pub fn of_code(code: &str, seed: u64, speed: f64) -> Result<Simulated, AppError> {
        let known = || Fault::SIMULATED.map(Cause::code).join(", ");
        let cause = Cause::from_code(code).ok_or_else(|| {
            AppError::new(ErrorKind::BadInput, format!("`{code}` is no cause; choose one of: {}", known()))
        })?;
        Ok(Simulated { cause, seed, speed, length_s: None })
    }
}
