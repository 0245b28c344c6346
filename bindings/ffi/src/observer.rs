//! The moment, pushed: a callback that gets the present state first and then the latest.

use std::sync::{Arc, Mutex, PoisonError};

use wellwright_app::App;

use crate::error::WellwrightError;
use crate::now::NowView;

/// Takes views. Called from a thread of the core's own, never twice at once.
#[uniffi::export(with_foreign)]
pub trait NowObserver: Send + Sync {
    /// The latest view: the first at once, then at most four a second, the last when the session has ended.
    ///
    /// An observer that fails (throws) is given the next view all the same.
    fn on_update(&self, view: NowView) -> Result<(), WellwrightError>;
}

/// Lends a foreign observer to the core.
pub(crate) struct Lent(pub(crate) Arc<dyn NowObserver>);

impl wellwright_app::Observer for Lent {
    fn now(&self, view: wellwright_app::NowView) {
        // A screen that stumbled over one view is not helped by hearing of it: the next one comes soon.
        let _ = self.0.on_update(view.into());
    }
}

/// An observer at work. Cancelling or dropping it ends it.
#[derive(Debug, uniffi::Object)]
pub struct Subscription {
    at_work: Mutex<Option<wellwright_app::Subscription>>,
    /// The core outlives those who observe it.
    _app: Arc<App>,
}

impl Subscription {
    pub(crate) fn new(at_work: wellwright_app::Subscription, app: Arc<App>) -> Subscription {
        Subscription { at_work: Mutex::new(Some(at_work)), _app: app }
    }
}

#[uniffi::export]
impl Subscription {
    /// No more views; one that is under way may still end. A second call does nothing.
    pub fn cancel(&self) {
        drop(self.at_work.lock().unwrap_or_else(PoisonError::into_inner).take());
    }
}
