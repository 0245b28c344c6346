//! Beginning a session: with the simulated controller, or with one in reach of the radio.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use wellwright_device::btleplug_link::BtleplugLink;
use wellwright_device::driver::{self, Config, Stopper};
use wellwright_device::find::{self, Found};
use wellwright_device::identity::Serial;
use wellwright_device::session::{Policy, Target};
use wellwright_domain::files::checks::ChecksFile;
use wellwright_domain::sample::Sample;
use wellwright_sim::{Fault, Pace, Scenario, SimController};
use wellwright_store::SystemId;

use super::{App, Current, ON_ITS_WAY, Simulated};
use crate::error::{AppError, ErrorKind};
use crate::frame_clock::FrameClock;
use crate::live::Live;
use crate::session::{self, SessionState, Shared, Sink};

impl App {
    /// Starts a simulated controller of a system and follows it, through the same frames, session and store as
    /// a real one.
    ///
    /// # Errors
    /// [`ErrorKind::Busy`], [`ErrorKind::BadInput`] for a cause that is not simulated, [`ErrorKind::NotFound`],
    /// [`ErrorKind::Store`].
    pub fn start_simulated(&self, system: i64, how: &Simulated) -> Result<(), AppError> {
        let mut current = self.free()?;
        let record = self.record(system)?;
        let mut scenario = Scenario::plan(&record, Fault::of(how.cause), how.seed)?;
        if let Some(length_s) = how.length_s {
            scenario = scenario.with_length_s(length_s);
        }
        let recording = scenario.run(&record)?;
        let told = ChecksFile {
            situation: Some(scenario.situation),
            touched: Some(scenario.touched.clone()),
            noticed: Some(recording.noticed),
            checks: Vec::new(),
        };
        let (link, controller) = SimController::connect(&record, &scenario);
        let controller = Arc::new(controller);
        let mut config = Config::new(Target::default()).with_policy(Policy::in_process());
        config.wall_clock = controller.wall_clock();
        let exact = controller.clone();
        let sink = Sink {
            store: self.store.clone(),
            system: SystemId(system),
            source: "sim",
            play: format!(":{}:{}", how.cause.code(), how.seed),
            clock: FrameClock::Exact(Arc::new(move |ms| exact.instant(ms))),
        };
        let shared = Shared::new(Live::new(&record)?);
        let pace = if how.speed > 0.0 { Pace::Times(how.speed) } else { Pace::AsFast };
        let samples = recording.samples;
        let stopper = {
            let _inside = self.handle().enter();
            let running = driver::start(link, config);
            let stopper = running.stopper();
            let (end, state) = (running.stopper(), shared.subscribe());
            tokio::spawn(session::follow(running, sink, shared.clone()));
            tokio::spawn(play(controller, samples, pace, state, end));
            stopper
        };
        *current =
            Some(Current { id: SystemId(system), system: record, simulated: true, shared, stopper, told });
        Ok(())
    }

    /// Connects to a controller over Bluetooth and follows it until stopped, coming back by itself.
    ///
    /// `serial`: only this controller; else the record's, else the first in reach.
    ///
    /// # Errors
    /// [`ErrorKind::Radio`] when there is no radio; [`ErrorKind::Busy`], [`ErrorKind::BadInput`],
    /// [`ErrorKind::NotFound`], [`ErrorKind::Store`].
    pub fn start_bluetooth(&self, system: i64, serial: Option<&str>) -> Result<(), AppError> {
        let mut current = self.free()?;
        let record = self.record(system)?;
        let target =
            match serial.or(record.controller.serial.as_deref()) {
                Some(text) => Target::serial(Serial::from_bytes(text.as_bytes()).map_err(|e| {
                    AppError::new(ErrorKind::BadInput, format!("serial number `{text}`: {e}"))
                })?),
                None => Target::default(),
            };
        let link = self.handle().block_on(BtleplugLink::open())?;
        let sink = Sink {
            store: self.store.clone(),
            system: SystemId(system),
            source: "ble",
            play: String::new(),
            clock: FrameClock::default(),
        };
        let shared = Shared::new(Live::new(&record)?);
        let stopper = {
            let _inside = self.handle().enter();
            let running = driver::start(link, Config::new(target));
            let stopper = running.stopper();
            tokio::spawn(session::follow(running, sink, shared.clone()));
            stopper
        };
        let told = ChecksFile::default();
        *current =
            Some(Current { id: SystemId(system), system: record, simulated: false, shared, stopper, told });
        Ok(())
    }

    /// Controllers in reach, nearest first.
    ///
    /// # Errors
    /// [`ErrorKind::Radio`].
    pub fn find(&self, duration: Duration) -> Result<Vec<Found>, AppError> {
        self.handle().block_on(async {
            let link = BtleplugLink::open().await?;
            Ok(find::find(&link, duration).await?)
        })
    }
}

/// Sends what was recorded, then ends the session once everything has arrived.
async fn play(
    controller: Arc<SimController>,
    samples: Vec<Sample>,
    pace: Pace,
    mut state: watch::Receiver<SessionState>,
    end: Stopper,
) {
    let over = {
        let mut state = state.clone();
        async move { state.wait_for(|s| s.stage == session::Stage::Ended).await.is_ok() }
    };
    let sent = tokio::select! {
        sent = controller.play(samples, pace) => u64::from(sent),
        _ = over => return,
    };
    // What does not arrive in time is lost, and the session has counted it.
    let _ = tokio::time::timeout(ON_ITS_WAY, state.wait_for(|s| s.received >= sent)).await;
    end.stop();
}
