//! Times as people say them: how long ago, then clock, then date. No relative days beyond yesterday.

use chrono::{DateTime, Datelike, FixedOffset, Timelike};

use super::number::Words;

/// Age of a reading: "1 s ago", "6 min ago", then the clock, "yesterday", then date and clock.
pub fn ago(words: &Words<'_>, at: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    let seconds = (now - at).num_seconds().max(0);
    if seconds < 60 {
        return words.fill("time.s_ago", &[("n", &seconds.to_string())]);
    }
    if seconds < 3600 {
        return words.fill("time.min_ago", &[("n", &(seconds / 60).to_string())]);
    }
    let at = at.with_timezone(now.offset());
    let days = now.date_naive().signed_duration_since(at.date_naive()).num_days();
    match days {
        0 => clock(at),
        1 => words.fill("time.yesterday", &[("clock", &clock(at))]),
        _ => date_clock(words, at),
    }
}

/// "10:42"
pub fn clock(at: DateTime<FixedOffset>) -> String {
    format!("{:02}:{:02}", at.hour(), at.minute())
}

/// "18 Nov 2026"
pub fn date(words: &Words<'_>, at: DateTime<FixedOffset>) -> String {
    let month = format!("month.{}", at.month());
    format!("{} {} {}", at.day(), words.texts.text(&month), at.year())
}

/// "18 Nov 2026, 10:42"
pub fn date_clock(words: &Words<'_>, at: DateTime<FixedOffset>) -> String {
    format!("{}, {}", date(words, at), clock(at))
}

/// The zone that a clock is read in: "UTC", "UTC+02:00"
pub fn zone(at: DateTime<FixedOffset>) -> String {
    if at.offset().local_minus_utc() == 0 { "UTC".to_owned() } else { format!("UTC{}", at.offset()) }
}

/// A stretch of time in the zone of its beginning: the date once when both ends lie on the same day.
pub fn window(words: &Words<'_>, from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> String {
    let to = to.with_timezone(from.offset());
    let to_text = if from.date_naive() == to.date_naive() { clock(to) } else { date_clock(words, to) };
    words.fill("page.window", &[("from", &date_clock(words, from)), ("to", &to_text), ("zone", &zone(from))])
}

/// A length of time: "40 s", "6 min", "1 h 20 min".
pub fn duration(words: &Words<'_>, seconds: f64) -> String {
    let s = seconds.max(0.0).round() as u64;
    match s {
        0..60 => words.fill("duration.s", &[("n", &s.to_string())]),
        60..3600 => words.fill("duration.min", &[("n", &(s / 60).to_string())]),
        _ if s % 3600 < 60 => words.fill("duration.h.whole", &[("n", &(s / 3600).to_string())]),
        _ => words.fill("duration.h", &[("n", &(s / 3600).to_string()), ("m", &(s % 3600 / 60).to_string())]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    #[test]
    fn ages_grow_from_seconds_to_dates() {
        let w = Words::english();
        let now = at("2026-11-18T10:42:30+02:00");
        let said = |t| ago(&w, at(t), now);
        assert_eq!(said("2026-11-18T10:42:29+02:00"), "1 s ago");
        assert_eq!(said("2026-11-18T10:36:00+02:00"), "6 min ago");
        assert_eq!(said("2026-11-18T06:36:00Z"), "08:36");
        assert_eq!(said("2026-11-17T23:00:00+02:00"), "yesterday, 23:00");
        assert_eq!(said("2026-11-09T07:05:00+02:00"), "9 Nov 2026, 07:05");
        assert_eq!(said("2026-11-18T11:00:00+02:00"), "0 s ago");
    }

    #[test]
    fn a_clock_may_be_told_with_its_zone() {
        assert_eq!(zone(at("2026-11-18T10:42:00Z")), "UTC");
        assert_eq!(zone(at("2026-11-18T10:42:00+02:00")), "UTC+02:00");
        assert_eq!(zone(at("2026-11-18T10:42:00-03:30")), "UTC-03:30");
    }

    #[test]
    fn windows_and_durations() {
        let w = Words::english();
        assert_eq!(
            window(&w, at("2026-11-18T10:42:00+02:00"), at("2026-11-18T10:58:00+02:00")),
            "18 Nov 2026, 10:42 to 10:58 (UTC+02:00)"
        );
        assert_eq!(
            window(&w, at("2026-11-18T23:42:00+02:00"), at("2026-11-19T00:10:00+02:00")),
            "18 Nov 2026, 23:42 to 19 Nov 2026, 00:10 (UTC+02:00)"
        );
        assert_eq!(
            [duration(&w, 40.2), duration(&w, 365.0), duration(&w, 4800.0)],
            ["40 s", "6 min", "1 h 20 min"]
        );
        assert_eq!(duration(&w, 14_400.0), "4 h");
    }
}
