//! Instants as they are stored: UTC in milliseconds, and minutes by which the telling clock was ahead.
//!
//! Order and identity use UTC only, so neither a time zone nor daylight saving can make two instants
//! one. The offset is kept because people remember local time.

use chrono::{DateTime, FixedOffset, TimeZone, Utc};

/// UTC milliseconds and offset in minutes. Less than a millisecond is cut off; an offset that is no
/// whole minute (local mean time) is rounded towards zero, which changes the display and not the instant.
pub(crate) fn to_stored(at: DateTime<FixedOffset>) -> (i64, i32) {
    (at.timestamp_millis(), at.offset().local_minus_utc() / 60)
}

/// The instant of a stored pair; an offset outside a day is shown as UTC. `None` when the
/// milliseconds lie outside what a calendar can show (some 250,000 years either way).
pub(crate) fn from_stored(ms: i64, offset_min: i32) -> Option<DateTime<FixedOffset>> {
    const FARTHEST_MS: u64 = 8_000_000_000_000_000;
    if ms.unsigned_abs() > FARTHEST_MS {
        return None;
    }
    let utc = Utc.timestamp_millis_opt(ms).single()?;
    let offset = offset_min.checked_mul(60).and_then(FixedOffset::east_opt);
    Some(match offset {
        Some(offset) => utc.with_timezone(&offset),
        None => utc.fixed_offset(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_come_back_as_written() {
        for text in
            ["2026-03-29T02:30:00.250+02:00", "1969-12-31T23:59:59.999-11:30", "2026-10-25T02:30:00+00:00"]
        {
            let at = DateTime::parse_from_rfc3339(text).unwrap();
            let (ms, offset) = to_stored(at);
            let back = from_stored(ms, offset).unwrap();
            assert_eq!((back, back.offset()), (at, at.offset()), "{text}");
        }
    }

    #[test]
    fn nonsense_is_no_panic() {
        assert_eq!(from_stored(i64::MAX, 0), None);
        assert_eq!(from_stored(0, i32::MAX).unwrap().to_rfc3339(), "1970-01-01T00:00:00+00:00");
    }
}
