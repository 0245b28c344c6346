//! The row, and the steady stretch, that tell of the moment of a check, and how far the speed of that moment may lie
//! from it.
//!
//! Rows more than a minute apart are means. One in which the pump started or stopped tells of neither, so a neighbour
//! that ran throughout stands for it; and between neighbours at other speeds the speed of the moment is not known
//! well.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

use crate::window::{Look, MEANS_BEYOND_S, Steady};

/// A row this near to a check tells the state in which it was made, minutes.
const NEAR_MIN: f64 = 10.0;

/// Of rows farther apart, those within so many intervals.
const NEAR_INTERVALS: f64 = 1.6;

/// Longer intervals are gaps, s.
const LONGEST_S: f64 = 900.0;

/// Most that the speed of a moment is taken to lie from the mean, 1 sigma of ln.
const MOST_SPREAD: f64 = 0.25;

/// Readings within so many minutes are of the same moment: later the sun has moved (engineering judgement).
const SAME_MOMENT_MIN: i64 = 30;

/// True when sun and level are still the same.
pub fn is_same_moment(a: DateTime<FixedOffset>, b: DateTime<FixedOffset>) -> bool {
    (a - b).num_minutes().abs() <= SAME_MOMENT_MIN
}

/// The steady point nearest to a check, of the same moment; the last where nobody told when.
pub fn steady_at(look: &Look, at: Option<DateTime<FixedOffset>>) -> Option<&Steady> {
    let mut filled = look.steady.iter().filter(|p| !p.filling);
    let Some(at) = at else { return filled.next_back() };
    let apart = |p: &&Steady| (p.at - at).num_seconds().abs();
    filled.filter(|p| is_same_moment(p.at, at)).min_by_key(apart)
}

/// A row near a check.
#[derive(Debug, Clone, Copy)]
pub struct NearRow<'a> {
    /// The row.
    pub row: &'a Sample,
    /// How far the speed of the moment may lie from the row's, 1 sigma of ln; 0 where rows are of moments.
    pub speed_spread: f64,
}

/// The row nearest to `at`, within ten minutes.
pub fn row_at(rows: &[Sample], at: DateTime<FixedOffset>) -> Option<&Sample> {
    let k = rows.partition_point(|s| s.at < at);
    let apart = |s: &&Sample| (s.at - at).num_milliseconds().abs();
    let nearest = rows[k.saturating_sub(1)..rows.len().min(k + 1)].iter().min_by_key(apart)?;
    (apart(&nearest) as f64 <= 60_000.0 * NEAR_MIN).then_some(nearest)
}

/// It stood throughout: a mean that says it stood at its end may have turned before.
fn stood(s: &Sample) -> bool {
    !s.runs() && !s.turns()
}

fn seconds(a: &Sample, b: &Sample) -> f64 {
    (b.at - a.at).num_milliseconds() as f64 / 1000.0
}

/// The row nearest to `at` that tells of that moment.
pub fn near_row(rows: &[Sample], at: DateTime<FixedOffset>) -> Option<NearRow<'_>> {
    let k = rows.partition_point(|s| s.at < at);
    let apart = |k: usize| (rows[k].at - at).num_milliseconds() as f64 / 1000.0;
    let mut around: Vec<usize> = (k.saturating_sub(2)..rows.len().min(k + 2)).collect();
    around.sort_by(|a, b| apart(*a).abs().total_cmp(&apart(*b).abs()));
    let by_time = *around.first()?;
    if apart(by_time).abs() > 60.0 * NEAR_MIN {
        return None;
    }
    let interval = if by_time > 0 { seconds(&rows[by_time - 1], &rows[by_time]) } else { 0.0 };
    let interval = rows.get(by_time + 1).map_or(interval, |next| seconds(&rows[by_time], next).max(interval));
    let averaged = interval > MEANS_BEYOND_S as f64 + 0.5;
    // a mean tells of the interval that ends at its time (contract)
    let back = if averaged { interval.min(LONGEST_S) / 2.0 } else { 0.0 };
    let away = |k: usize| (apart(k) - back).abs();
    around.sort_by(|a, b| away(*a).total_cmp(&away(*b)));
    let nearest = around[0];
    let reach = (60.0 * NEAR_MIN).max(NEAR_INTERVALS * interval.min(LONGEST_S));
    if !averaged || stood(&rows[nearest]) {
        return Some(NearRow { row: &rows[nearest], speed_spread: 0.0 });
    }
    let beside = |k: usize| [k.checked_sub(1), Some(k + 1)].into_iter().flatten().filter_map(|j| rows.get(j));
    let whole = |k: &usize| rows[*k].runs() && beside(*k).all(Sample::runs) && away(*k) <= reach;
    let Some(k) = around.iter().copied().find(whole) else {
        // it ran for a part of it: whatever ran nearest
        let ran = around.into_iter().find(|k| rows[*k].runs() && away(*k) <= reach);
        return Some(NearRow { row: &rows[ran.unwrap_or(nearest)], speed_spread: MOST_SPREAD });
    };
    let ln_rpm = |s: &Sample| s.get(Channel::MotorRpm).filter(|n| *n > 0.0).map(f64::ln);
    let apart = |other: &Sample| Some((ln_rpm(other)? - ln_rpm(&rows[k])?).abs());
    let spread = beside(k).filter_map(apart).fold(0.0, f64::max) / 2.0;
    Some(NearRow { row: &rows[k], speed_spread: spread.min(MOST_SPREAD) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeDelta;
    use wellwright_domain::flags::PumpState;

    fn rows(every_s: i64, rpm: &[Option<f64>]) -> Vec<Sample> {
        let start = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let row = |(k, rpm): (i64, &Option<f64>)| {
            let mut s = Sample::new(start + TimeDelta::seconds(every_s * k));
            s.state = Some(if rpm.is_some() { PumpState::Running } else { PumpState::Stopped });
            s.set(Channel::MotorRpm, *rpm);
            s
        };
        (0..).zip(rpm).map(row).collect()
    }

    #[test]
    fn a_mean_that_holds_a_stop_is_not_the_moment() {
        let rows = rows(300, &[Some(3900.0), Some(3900.0), Some(1980.0), None]);
        let near = near_row(&rows, rows[2].at).unwrap();
        // the one before ran throughout, though the next was slower
        assert_eq!(near.row.at, rows[1].at);
        assert!(near.speed_spread > 0.2);
        assert!(near_row(&rows, rows[3].at).unwrap().row.state == Some(PumpState::Stopped));
        // nothing better is near: its own speed, loosely
        let alone = near_row(&rows[2..], rows[2].at).unwrap();
        assert_eq!((alone.row.at, alone.speed_spread), (rows[2].at, MOST_SPREAD));
    }

    #[test]
    fn a_mean_in_which_it_came_to_stand_is_no_stop() {
        let mut rows = rows(300, &[Some(3900.0), Some(3900.0), Some(960.0), None]);
        rows[2].state = Some(PumpState::Stopped);
        let near = near_row(&rows, rows[2].at - TimeDelta::minutes(2)).unwrap();
        assert_eq!((near.row.at, near.speed_spread), (rows[1].at, MOST_SPREAD));
        assert_eq!(near_row(&rows, rows[3].at).unwrap().row.at, rows[3].at);
    }

    #[test]
    fn a_mean_tells_of_the_time_before_it() {
        let rows = rows(900, &[Some(3900.0), Some(3800.0), Some(3700.0), Some(3600.0), Some(3500.0)]);
        let near = near_row(&rows, rows[1].at + TimeDelta::minutes(2)).unwrap();
        assert_eq!(near.row.at, rows[2].at, "the one before had ended");
    }

    #[test]
    fn rows_of_moments_tell_their_own() {
        let rows = rows(1, &[Some(3900.0), Some(3000.0), Some(1980.0), None]);
        let near = near_row(&rows, rows[2].at).unwrap();
        assert_eq!((near.row.at, near.speed_spread), (rows[2].at, 0.0));
        assert!(near_row(&rows, rows[2].at + TimeDelta::minutes(20)).is_none());
    }
}
