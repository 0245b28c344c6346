//! The part of a long window that tells what is so now.
//!
//! A look asks what is wrong at its end. Rows of a season mix states of the well, the sky and the fault, and only
//! the last days can be met by checks made today. Shorter windows stay whole.

use chrono::TimeDelta;
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

use super::onset::since_onset;

/// What is looked at reaches back so far, h: two whole days, so that each hour of the day is met twice, and a
/// little more for the clock (engineering judgement).
pub const KEPT_H: i64 = 50;

/// Rows from [`KEPT_H`] hours before the last row that says anything, and of these the ones after a fault set in.
/// Rows are in time order; the last row is always in it.
pub fn recent(samples: &[Sample]) -> &[Sample] {
    let Some(last) = samples.iter().rfind(|s| says_anything(s)).or(samples.last()) else { return samples };
    let from = last.at - TimeDelta::hours(KEPT_H);
    since_onset(&samples[samples.partition_point(|s| s.at < from)..])
}

fn says_anything(s: &Sample) -> bool {
    s.state.is_some()
        || s.flags.is_some_and(|f| !f.is_empty())
        || Channel::ALL.into_iter().any(|c| s.get(c).is_some())
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, FixedOffset};

    use super::*;

    fn rows(hours: i64) -> Vec<Sample> {
        let start: DateTime<FixedOffset> = DateTime::parse_from_rfc3339("2026-01-01T00:00:00Z").unwrap();
        let row = |h| Sample::new(start + TimeDelta::hours(h)).with(Channel::ArrayV, 300.0);
        (0..=hours).map(row).collect()
    }

    #[test]
    fn short_windows_stay_whole_and_long_ones_keep_their_end() {
        assert!(recent(&[]).is_empty());
        let short = rows(KEPT_H);
        assert_eq!(recent(&short).len(), short.len());
        let long = rows(24 * 30);
        let kept = recent(&long);
        assert_eq!(kept.len(), KEPT_H as usize + 1);
        assert_eq!(kept.last(), long.last());
    }

    #[test]
    fn a_long_silence_at_the_end_does_not_hide_what_was_said_before_it() {
        let mut long = rows(24 * 30);
        let silent = long.len() - 100;
        for s in &mut long[silent..] {
            s.set(Channel::ArrayV, None);
        }
        let kept = recent(&long);
        assert_eq!(kept.first().unwrap().at, long[silent - 1].at - TimeDelta::hours(KEPT_H));
        assert_eq!(kept.last(), long.last());
    }

    #[test]
    fn rows_that_say_nothing_at_all_are_cut_from_the_last() {
        let mut long = rows(24 * 30);
        for s in &mut long {
            s.set(Channel::ArrayV, None);
        }
        assert_eq!(recent(&long).len(), KEPT_H as usize + 1);
    }
}
