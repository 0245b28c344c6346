//! The simulated controller on the air: samples as live frames over the in-process link.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use tokio::time::Instant;
use wellwright_device::driver::WallClock;
use wellwright_device::frame::LiveFrame;
use wellwright_device::memory_link::{self, MemoryController, MemoryLink};
use wellwright_device::nameplate::Nameplate;
use wellwright_device::profile::Readable;
use wellwright_device::session::RawCard;
use wellwright_device::status::Status;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;

use crate::scenario::Scenario;
use crate::sensors::channels;

/// Serial number of a record that has none.
const SERIAL: &str = "SIM-0001";
/// It has been running so long when a scenario begins, ms.
const UPTIME_MS: u64 = 10_800_000;
/// Its boot counter.
const BOOT: u16 = 12;

/// How fast simulated time goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pace {
    /// So many simulated seconds in a second; 1 is real time. What is not a positive number counts as 1.
    Times(f64),
    /// As fast as the session takes the frames; none is lost.
    AsFast,
}

/// A simulated controller: serial, nameplate, status and live notifications as from a real one.
#[derive(Debug)]
pub struct SimController {
    end: MemoryController,
    start: DateTime<FixedOffset>,
    card: RawCard,
    /// Simulated time now, ms since 1970.
    now_ms: Arc<AtomicI64>,
}

impl SimController {
    /// A controller of `system` at the start of a scenario, and the link by which a session reaches it.
    pub fn connect(system: &System, scenario: &Scenario) -> (MemoryLink, SimController) {
        let serial = system.controller.serial.as_deref().unwrap_or(SERIAL);
        let card = RawCard::default()
            .with(Readable::Serial, serial)
            .with(Readable::Nameplate, nameplate(system, scenario).encode())
            .with(Readable::Status, status(scenario.start, 0, 0).encode())
            .with(Readable::Maker, "Wellwright (simulated)")
            .with(Readable::Model, "Demo controller")
            .with(Readable::Firmware, env!("CARGO_PKG_VERSION"));
        let (link, end) = memory_link::pair_raw(card.clone());
        let now_ms = Arc::new(AtomicI64::new(scenario.start.timestamp_millis()));
        (link, SimController { end, start: scenario.start, card, now_ms })
    }

    /// The controller's end of the link, to make it misbehave as a radio does.
    pub fn end(&self) -> &MemoryController {
        &self.end
    }

    /// A wall clock that shows simulated time: that of the last frame sent. A session that lags behind
    /// sees its frames a little late; [`SimController::instant`] is exact.
    pub fn wall_clock(&self) -> WallClock {
        let (now_ms, start) = (self.now_ms.clone(), self.start);
        Arc::new(move || {
            let since = now_ms.load(Ordering::Relaxed) - start.timestamp_millis();
            start + TimeDelta::milliseconds(since)
        })
    }

    /// The simulated instant of a frame's running time.
    pub fn instant(&self, uptime_ms: u64) -> DateTime<FixedOffset> {
        self.start + TimeDelta::milliseconds(uptime_ms.cast_signed() - UPTIME_MS.cast_signed())
    }

    /// The frame that carries a sample.
    pub fn frame(&self, sample: &Sample, seq: u32) -> LiveFrame {
        let since = (sample.at - self.start).num_milliseconds().max(0);
        LiveFrame::from_sample(sample, seq, UPTIME_MS + since.cast_unsigned()).with_boot(BOOT)
    }

    /// Waits for a session, then sends every sample at its simulated time; gives how many were sent whole.
    ///
    /// At a pace, a frame that nobody is subscribed to is lost and counted in the status, as with a real
    /// controller; [`Pace::AsFast`] waits for the session instead. Faster than real time the session must be
    /// of `Policy::in_process`, or it takes the frames for a flood. Drop the future to stop.
    pub async fn play(&self, samples: impl IntoIterator<Item = Sample>, pace: Pace) -> u32 {
        self.end.subscribed().await;
        let began = Instant::now();
        let (mut sent, mut dropped) = (0, 0);
        for (seq, sample) in (0_u32..).zip(samples) {
            let since_ms = (sample.at - self.start).num_milliseconds().max(0);
            match pace {
                Pace::Times(times) => {
                    let times = if times.is_finite() && times > 0.0 { times } else { 1.0 };
                    let due = Duration::from_secs_f64(since_ms as f64 / 1000.0 / times);
                    tokio::time::sleep_until(began + due).await;
                }
                Pace::AsFast => self.end.subscribed().await,
            }
            self.now_ms.store(sample.at.timestamp_millis(), Ordering::Relaxed);
            let status = status(sample.at, since_ms.cast_unsigned(), dropped);
            self.end.set_card(self.card.clone().with(Readable::Status, status.encode()));
            if self.end.send_frame(&self.frame(&sample, seq)).await {
                sent += 1;
            } else {
                dropped += 1;
            }
        }
        sent
    }
}

fn status(at: DateTime<FixedOffset>, since_start_ms: u64, dropped_frames: u32) -> Status {
    Status { clock: Some(at), boot: BOOT, uptime_ms: UPTIME_MS + since_start_ms, dropped_frames }
}

fn nameplate(system: &System, scenario: &Scenario) -> Nameplate {
    let c = &system.controller;
    Nameplate {
        min_v: c.min_v,
        max_v: c.max_v,
        max_power_w: c.max_power_w,
        max_phase_a_rms: c.max_phase_a_rms,
        min_rpm: c.min_rpm,
        max_rpm: c.max_rpm,
        derate_from_c: c.derate_from_c,
        drive: c.drive,
        pole_pairs: system.motor.pole_pairs.and_then(|p| u8::try_from(p).ok()),
        period_ms: Some((1000.0 * scenario.step_s).round().min(60_000.0) as u16),
        ..Nameplate::default()
    }
    .with_channels(channels(system))
}
