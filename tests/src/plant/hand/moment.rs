//! When a check is made: the row of the recording at which the person stands there.

use chrono::{DateTime, FixedOffset, Offset};
use wellwright_domain::flags::PumpState;
use wellwright_domain::sample::Sample;

use crate::plant::balance::Limit;
use crate::plant::case::Case;
use crate::plant::run::Truth;

/// Longer windows are read afterwards; the person was there at some time of the day.
const LONG_S: f64 = 6.0 * 3600.0;

/// Speed that wanders by less than this share is steady.
const STEADY: f64 = 0.03;

/// A case at one of its rows.
#[derive(Debug, Clone, Copy)]
pub struct Moment<'a> {
    /// Case.
    pub case: &'a Case,
    /// Row.
    pub row: usize,
}

impl<'a> Moment<'a> {
    /// The end of the window.
    pub fn end(case: &'a Case) -> Option<Moment<'a>> {
        Some(Moment { case, row: case.truth.len().checked_sub(1)? })
    }

    /// When the person is there: at the end, or in a long window when it last ran, or at its brightest.
    pub fn now(case: &'a Case) -> Option<Moment<'a>> {
        let end = Moment::end(case)?;
        if case.window.seconds < LONG_S {
            return Some(end);
        }
        let brightest = || {
            let all = case.truth.iter().enumerate();
            all.max_by(|a, b| a.1.g.total_cmp(&b.1.g)).map_or(end.row, |(row, _)| row)
        };
        Some(Moment::running(case).unwrap_or_else(|| Moment { case, row: brightest() }))
    }

    /// The last row at steady speed, else the last at which it ran at all, not long before the end.
    pub fn running(case: &'a Case) -> Option<Moment<'a>> {
        let from = Moment::late(case);
        let runs = |t: &Truth| t.state == PumpState::Running;
        let steady = |row: usize| {
            let t = &case.truth[row];
            let back = case.truth[..row].iter().rev().take_while(|b| t.t - b.t < 45.0).take(30);
            back.fold((true, 0), |(ok, n), b| {
                (ok && runs(b) && (b.rpm - t.rpm).abs() <= STEADY * t.rpm, n + 1)
            })
        };
        let rows = || (from..case.truth.len()).rev().filter(|row| runs(&case.truth[*row]));
        let row = rows().find(|row| {
            let (ok, n) = steady(*row);
            ok && (n > 0 || case.window.spacing > 45.0)
        });
        row.or_else(|| rows().next()).map(|row| Moment { case, row })
    }

    /// A row at which currents flow to the motor, in a run or a start.
    pub fn turning(case: &'a Case) -> Option<Moment<'a>> {
        let live = |t: &Truth| {
            matches!(t.state, PumpState::Running | PumpState::Starting) && t.phases.iter().any(|a| *a > 0.02)
        };
        Moment::running(case).filter(|m| live(m.truth())).or_else(|| {
            let rows = (Moment::late(case)..case.truth.len()).rev();
            rows.into_iter().find(|row| live(&case.truth[*row])).map(|row| Moment { case, row })
        })
    }

    /// A row at which the array was all that held it back.
    pub fn sun_limited(case: &'a Case) -> Option<Moment<'a>> {
        let rows = (Moment::late(case)..case.truth.len()).rev();
        let held = |t: &Truth| t.state == PumpState::Running && t.limit == Some(Limit::Sun);
        rows.into_iter().find(|row| held(&case.truth[*row])).map(|row| Moment { case, row })
    }

    /// First row that is late enough: the last quarter, or anywhere in a long window.
    fn late(case: &Case) -> usize {
        if case.window.seconds < LONG_S { case.truth.len() * 3 / 4 } else { 0 }
    }

    /// What truly is.
    pub fn truth(&self) -> &'a Truth {
        &self.case.truth[self.row]
    }

    /// What the controller says.
    pub fn sample(&self) -> &'a Sample {
        &self.case.samples[self.row]
    }

    /// It runs.
    pub fn runs(&self) -> bool {
        self.truth().state == PumpState::Running
    }

    /// The time on the person's own watch, which is right.
    pub fn at(&self) -> DateTime<FixedOffset> {
        let utc =
            DateTime::from_timestamp_millis((self.truth().t * 1000.0).round() as i64).unwrap_or_default();
        let offset = FixedOffset::east_opt(self.case.window.offset_s).unwrap_or_else(|| chrono::Utc.fix());
        utc.with_timezone(&offset)
    }

    /// Flow of the healthy plant at 900 W/m2, m3/h.
    pub fn healthy_flow(&self) -> f64 {
        3600.0 * self.case.healthy.settled_flow(900.0, 25.0)
    }
}
