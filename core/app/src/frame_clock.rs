//! When a frame's values were measured, from when it came and the controller's own running time.
//!
//! Frames come late by a little that varies; the running time does not. So the two are tied together once,
//! at the least delay seen, and the running time then spaces the samples. A restart, or a wall clock that was
//! set, ties them anew.

use std::fmt;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use wellwright_device::frame::LiveFrame;

/// A difference larger than this is a clock that was set, ms.
const SET_MS: i64 = 5_000;
/// Clocks drift apart by at most this much a frame, ms.
const SLEW_MS: i64 = 1;

type Exact = Arc<dyn Fn(u64) -> DateTime<FixedOffset> + Send + Sync>;

/// Gives each frame its instant.
#[derive(Clone)]
pub enum FrameClock {
    /// Tied to this machine's clock.
    Received {
        /// Boot counter that the tie is for, and received time less running time, ms since 1970.
        tie: Option<(u16, i64)>,
        /// Last running time, ms.
        last_ms: u64,
    },
    /// The controller's running time says it exactly, as with a simulated one.
    Exact(Exact),
}

impl fmt::Debug for FrameClock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            FrameClock::Received { .. } => "FrameClock::Received",
            FrameClock::Exact(_) => "FrameClock::Exact",
        })
    }
}

impl Default for FrameClock {
    fn default() -> FrameClock {
        FrameClock::Received { tie: None, last_ms: 0 }
    }
}

impl FrameClock {
    /// When a session begins, by the clock that its readings go by; `said`: the controller's own clock. A
    /// real controller's may be years off; a simulated one's is simulated time.
    pub fn began(&self, said: Option<DateTime<FixedOffset>>) -> DateTime<FixedOffset> {
        match self {
            FrameClock::Exact(_) => said,
            FrameClock::Received { .. } => None,
        }
        .unwrap_or_else(|| Local::now().fixed_offset())
    }

    /// The instant of a frame that came at `received`, in its offset, to the millisecond.
    pub fn instant(&mut self, received: DateTime<FixedOffset>, frame: &LiveFrame) -> DateTime<FixedOffset> {
        let (tie, last_ms) = match self {
            FrameClock::Exact(instant) => return instant(frame.uptime_ms),
            FrameClock::Received { tie, last_ms } => (tie, last_ms),
        };
        let came = received.timestamp_millis();
        let now = came - frame.uptime_ms.cast_signed();
        let kept = tie.filter(|(boot, was)| {
            *boot == frame.boot && frame.uptime_ms >= *last_ms && (now - was).abs() <= SET_MS
        });
        let offset = kept.map_or(now, |(_, was)| now.min(was + SLEW_MS));
        *tie = Some((frame.boot, offset));
        *last_ms = frame.uptime_ms;
        received + TimeDelta::milliseconds(offset + frame.uptime_ms.cast_signed() - came)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ms: i64) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339("2026-03-14T11:00:00+02:00").unwrap() + TimeDelta::milliseconds(ms)
    }

    #[test]
    fn late_frames_are_spaced_by_the_running_time() {
        let mut clock = FrameClock::default();
        let mut said = Vec::new();
        for (k, late) in (0_u32..).zip([300, 20, 450, 90, 30]) {
            let ms = 1000 * u64::from(k);
            let frame = LiveFrame::new(k, 50_000 + ms);
            said.push(clock.instant(at(ms.cast_signed() + late), &frame));
        }
        assert_eq!(said[0], at(300));
        // from the second on within a few ms of 20 ms after the true time
        for (k, t) in (0_i64..).zip(&said).skip(1) {
            assert!((*t - at(1000 * k + 20)).num_milliseconds().abs() <= 3, "{k}: {t}");
        }
    }

    #[test]
    fn a_restart_or_a_clock_that_was_set_ties_anew() {
        let mut clock = FrameClock::default();
        clock.instant(at(0), &LiveFrame::new(0, 90_000));
        assert_eq!(clock.instant(at(1000), &LiveFrame::new(0, 0).with_boot(1)), at(1000));
        assert_eq!(clock.instant(at(-3_600_000), &LiveFrame::new(1, 1000).with_boot(1)), at(-3_600_000));
    }

    #[test]
    fn a_session_begins_by_the_clock_of_its_readings() {
        let before = Local::now();
        let began = FrameClock::default().began(Some(at(0)));
        assert!(began >= before && began <= Local::now(), "{began}");
        let simulated = FrameClock::Exact(Arc::new(|ms| at(ms.cast_signed())));
        assert_eq!(simulated.began(Some(at(7))), at(7));
    }
}
