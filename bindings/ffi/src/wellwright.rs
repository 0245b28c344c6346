//! The one object that a shell holds.

use std::sync::Arc;
use std::time::Duration;

use wellwright_app::text::Words;
use wellwright_app::{App, Simulated};

use crate::error::WellwrightError;
use crate::finding::FindingView;
use crate::now::NowView;
use crate::observer::{Lent, NowObserver, Subscription};
use crate::system::{Simulation, SystemView};

type Result<T> = std::result::Result<T, WellwrightError>;

/// An open store with at most one session. Calls wait for store and radio: make them off the screen's thread.
#[derive(Debug, uniffi::Object)]
pub struct Wellwright {
    app: Arc<App>,
    words: Words<'static>,
}

#[uniffi::export]
impl Wellwright {
    /// Opens the store in this file, making it when there is none. The folder must exist.
    #[uniffi::constructor]
    pub fn open(path: String) -> Result<Arc<Wellwright>> {
        let words = Words::english();
        Ok(Arc::new(Wellwright { app: Arc::new(App::open(path, words)?), words }))
    }

    /// Set when the store was damaged and a new one was started: where the damaged file is kept.
    pub fn set_aside(&self) -> Option<String> {
        self.app.set_aside().map(str::to_owned)
    }

    /// Every system, by name.
    pub fn systems(&self) -> Result<Vec<SystemView>> {
        Ok(self.app.systems()?.into_iter().map(SystemView::from).collect())
    }

    /// Adds a system from the text of its record, or a version of one that bears this name already.
    /// `file_name` is how an error names it.
    pub fn add_system(&self, toml: String, file_name: String) -> Result<SystemView> {
        Ok(self.app.add_system(&toml, &file_name)?.into())
    }

    /// Starts a simulated controller of a system and follows it as a real one.
    pub fn start_simulated(&self, system: i64, simulation: Simulation) -> Result<()> {
        Ok(self.app.start_simulated(system, &Simulated::try_from(simulation)?)?)
    }

    /// Gives views of the session to an observer until the subscription is cancelled or dropped.
    pub fn observe(&self, observer: Arc<dyn NowObserver>) -> Result<Arc<Subscription>> {
        let at_work = self.app.observe(Arc::new(Lent(observer)))?;
        Ok(Arc::new(Subscription::new(at_work, self.app.clone())))
    }

    /// The view of this moment.
    pub fn now(&self) -> Result<NowView> {
        Ok(self.app.now()?.into())
    }

    /// Waits until the session has ended, at most so many milliseconds; true when it has ended.
    pub fn wait_for_end(&self, longest_ms: u64) -> Result<bool> {
        Ok(self.app.wait(Duration::from_millis(longest_ms))?)
    }

    /// Ranks the causes for what the store holds of the session, and keeps the finding.
    pub fn finding(&self) -> Result<FindingView> {
        Ok(FindingView::of(self.app.finding()?, &self.words)?)
    }

    /// Ends the session once what came is written. Without a session it does nothing.
    pub fn stop(&self) {
        self.app.stop();
    }
}
