//! A controller's clock and counters. Layout: `PROFILE.md`, section STATUS.

use std::ops::RangeInclusive;

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, TimeDelta, Timelike};

use crate::error::ReadError;
use crate::frame::MAX_UPTIME_MS;
use crate::profile::VERSION;
use crate::wire::{Reader, put};

/// Bytes of version 1; later versions only append.
pub const LEN: usize = 23;

/// Counts of the time-zone byte that mean "not told".
const ZONE_NOT_TOLD: i64 = -128;

/// Years that the SIG's Date Time can tell.
const YEARS: RangeInclusive<i32> = 1582..=9999;

/// Clock and counters at the moment of reading.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Status {
    /// The controller's clock, to 1/256 s; `None` when it was never set or its zone is not told.
    pub clock: Option<DateTime<FixedOffset>>,
    /// Boot counter; 0 when it does not count.
    pub boot: u16,
    /// Running time since the boot, ms.
    pub uptime_ms: u64,
    /// Live frames that it could not send since the boot.
    pub dropped_frames: u32,
}

impl Status {
    /// From the bytes of the STATUS characteristic. A clock that is no possible time is "not told".
    ///
    /// # Errors
    /// [`ReadError`] when it is short or of another version.
    pub fn decode(bytes: &[u8]) -> Result<Status, ReadError> {
        let short = ReadError::TooShort { what: "status", have: bytes.len(), need: LEN };
        let mut r = Reader::new(bytes);
        match r.u8() {
            Some(VERSION) => {}
            Some(said) => return Err(ReadError::Version { what: "status", said }),
            None => return Err(short),
        }
        fields(&mut r).ok_or(short)
    }

    /// As bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = vec![VERSION];
        put_clock(&mut out, self.clock);
        put(&mut out, self.boot.into(), 2);
        put(&mut out, self.uptime_ms.min(MAX_UPTIME_MS), 5);
        put(&mut out, self.dropped_frames.into(), 4);
        out
    }

    /// How far the controller's clock runs ahead of ours, when it tells one.
    pub fn clock_ahead(&self, ours: DateTime<FixedOffset>) -> Option<TimeDelta> {
        self.clock.map(|theirs| theirs - ours)
    }
}

fn fields(r: &mut Reader<'_>) -> Option<Status> {
    let year = r.u16()?;
    let (month, day) = (r.u8()?, r.u8()?);
    let (hour, minute, second) = (r.u8()?, r.u8()?, r.u8()?);
    let _day_of_week = r.u8()?;
    let fractions = r.u8()?;
    let _adjust_reason = r.u8()?;
    let zone = r.signed(1)?;
    let local = NaiveDate::from_ymd_opt(year.into(), month.into(), day.into()).and_then(|date| {
        let millis = (u32::from(fractions) * 1000 + 128) / 256;
        date.and_hms_milli_opt(hour.into(), minute.into(), second.into(), millis.min(999))
    });
    let offset =
        Some(zone).filter(|z| *z != ZONE_NOT_TOLD).and_then(|z| FixedOffset::east_opt(z as i32 * 15 * 60));
    Some(Status {
        clock: local
            .filter(|t| YEARS.contains(&t.year()))
            .zip(offset)
            .and_then(|(t, o)| t.and_local_timezone(o).single()),
        boot: r.u16()?,
        uptime_ms: r.unsigned(5)?,
        dropped_frames: r.u32()?,
    })
}

fn put_clock(out: &mut Vec<u8>, clock: Option<DateTime<FixedOffset>>) {
    let Some(t) = clock.filter(|t| YEARS.contains(&t.year())) else {
        out.extend_from_slice(&[0; 10]);
        put(out, ZONE_NOT_TOLD as u64, 1);
        return;
    };
    put(out, t.year() as u64, 2);
    for part in [t.month(), t.day(), t.hour(), t.minute(), t.second(), t.weekday().number_from_monday()] {
        put(out, part.into(), 1);
    }
    // A leap second's nanoseconds run on past a thousand million.
    let fractions = u64::from(t.nanosecond() % 1_000_000_000) * 256 / 1_000_000_000;
    put(out, fractions, 1);
    put(out, 0, 1);
    put(out, i64::from(t.offset().local_minus_utc() / (15 * 60)) as u64, 1);
}
