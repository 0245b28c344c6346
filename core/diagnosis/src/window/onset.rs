//! The part of a window that lies after its fault set in.
//!
//! Who records a pump often records how it fails: it runs as it should, and from one moment on it does not. A mean over
//! both halves is a state that never was, and what ran before is no evidence against what is wrong now. Two kinds of
//! moment are seen: from one row to the next the pump gives or takes another flow, pressure, current or power at the
//! same speed, and goes on so; or a pump that ran without a stop starts to trip and runs no more.

use chrono::{DateTime, FixedOffset, TimeDelta};
use nalgebra::{Matrix3, Vector3};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::sample::Sample;

use super::steady::PHASES;
use super::stops::outcome;
use super::{MEANS_BEYOND_S, Outcome, share_below};

/// The rows from the moment on at which the fault set in; all where none is seen.
pub fn since_onset(rows: &[Sample]) -> &[Sample] {
    let steps = QUANTITIES.into_iter().filter_map(|of| {
        let (settled, mostly) = (ran(rows, of, SETTLES), ran(rows, of, SETTLES_MOSTLY));
        // without a start both are the same rows
        let soon = || (mostly.len() > settled.len()).then(|| step(&mostly))?.filter(|s| s.1);
        step(&settled).or_else(soon).map(|s| s.0).or_else(|| fall(&mostly))
    });
    let onset = steps.max().or_else(|| began_to_trip(rows));
    onset.map_or(rows, |at| &rows[rows.partition_point(|s| s.at < at)..])
}

/// What a pump gives or takes at a speed.
const QUANTITIES: [fn(&Sample) -> Option<f64>; 4] = [
    |s| s.get(Channel::FlowM3H),
    |s| s.get(Channel::WellheadKpa),
    |s| Some((s.get(PHASES[0])? + s.get(PHASES[1])? + s.get(PHASES[2])?) / 3.0),
    |s| Some(s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?),
];

/// On either side so many rows, and so long.
const SIDE_ROWS: usize = 8;
const SIDE: TimeDelta = TimeDelta::minutes(4);

/// Next neighbours of a step, rows on either side.
const BESIDE_ROWS: usize = 4;

/// After a start nothing is compared for so long: riser and pipes fill, and the level falls. What changes from one row
/// to the next is told from that sooner.
const SETTLES: TimeDelta = TimeDelta::minutes(40);
const SETTLES_MOSTLY: TimeDelta = TimeDelta::minutes(10);

/// So much of a sudden step lies between its next neighbours; and it starts from more than so much of where it ends: a
/// pipe that has filled gives water from none.
const SUDDEN: f64 = 0.65;
const FROM_SOME: f64 = 0.15;

/// A step is so large a share of the mean, and so many times what is left beside it.
const LEAST_SHARE: f64 = 0.2;
const LEAST_SIGMAS: f64 = 5.0;

/// Of all that goes not with the speed one step must explain so much: of a steady slope it explains three quarters.
const EXPLAINS: f64 = 0.88;

/// A step counts where both sides have speeds in common: so much of it lies across the speed.
const ACROSS: f64 = 0.15;

/// The first row after the one step that a quantity makes for good at the same speed, in time, and whether it is sudden.
///
/// Equation: least squares of y on 1, n, n^2 and a step at row k; the k that leaves least. Symbols: n speed.
/// Source: the classic test for one change of level with known regressors (Quandt 1960).
fn step(told: &[Told]) -> Option<(DateTime<FixedOffset>, bool)> {
    let n = told.len();
    if n < 2 * SIDE_ROWS {
        return None;
    }
    let x = powers(told);
    // also where the speed never changes
    let none = Matrix3::identity() * (1e-6 * n as f64);
    let gram = x.iter().fold(none, |sum, v| sum + v * v.transpose()).try_inverse()?;
    let line = gram * x.iter().zip(told).fold(Vector3::zeros(), |sum, (v, t)| sum + v * t.2);
    let left: Vec<f64> = x.iter().zip(told).map(|(v, t)| t.2 - v.dot(&line)).collect();
    let all: f64 = left.iter().map(|r| r * r).sum();
    let (mut after, mut sum, mut best) = (Vector3::zeros(), 0.0, None::<(f64, usize, f64)>);
    for k in (SIDE_ROWS..n).rev() {
        after += x[k];
        sum += left[k];
        let m = (n - k) as f64;
        let alone = m - (after.transpose() * gram * after)[0];
        if n - k < SIDE_ROWS || alone < ACROSS * m * (n as f64 - m) / n as f64 {
            continue;
        }
        let explained = sum * sum / alone;
        if best.is_none_or(|b| explained > b.0) {
            best = Some((explained, k, sum / alone));
        }
    }
    let (explained, k, by) = best?;
    let sigma = ((all - explained).max(0.0) / (n as f64 - 4.0).max(1.0)).sqrt();
    let mean = |part: &[Told]| part.iter().map(|t| t.2).sum::<f64>() / part.len() as f64;
    let (before, since) = (mean(&told[..k]), mean(&told[k..]));
    let large = by.abs() > LEAST_SHARE * before.abs().max(since.abs()) && by.abs() > LEAST_SIGMAS * sigma;
    let beside = (mean(&told[k - BESIDE_ROWS..k]), mean(&told[k..k + BESIDE_ROWS]));
    let sudden = (beside.1 - beside.0) / by > SUDDEN && before.abs() > FROM_SOME * since.abs();
    (explained > EXPLAINS * all && large && is_long(told, k)).then_some((told[k].0, sudden))
}

fn is_long(told: &[Told], k: usize) -> bool {
    told[k].0 - told[0].0 >= SIDE && told[told.len() - 1].0 - told[k].0 >= SIDE
}

/// A fall counts from so much of what it gave before.
const MUCH: f64 = 0.4;

/// A fall is seen between means over so long on either side.
const BESIDE: TimeDelta = TimeDelta::minutes(1);

/// The first row after a sudden fall to less than slower rows gave before: no sun does that, also where the speed
/// changes with it, so that no line through both sides tells them apart.
fn fall(told: &[Told]) -> Option<DateTime<FixedOffset>> {
    let n = told.len();
    let all_s = told.first().zip(told.last()).map(|(a, b)| (b.0 - a.0).as_seconds_f64())?;
    let beside = SIDE_ROWS.max((n as f64 * BESIDE.as_seconds_f64() / all_s.max(1.0)) as usize);
    if n < 2 * beside {
        return None;
    }
    let sums: Vec<f64> = [0.0]
        .into_iter()
        .chain(told.iter().scan(0.0, |sum, t| {
            *sum += t.2;
            Some(*sum)
        }))
        .collect();
    let left = |k: usize| (sums[k + beside] - sums[k]) / (sums[k] - sums[k - beside]).max(1e-9);
    let k = (beside..=n - beside).min_by(|a, b| left(*a).total_cmp(&left(*b)))?;
    let (before, since) = told.split_at(k);
    let slow = share_below(since.iter().map(|t| t.1), 0.1)?;
    let slower: Vec<f64> = before.iter().filter(|t| t.1 <= 1.005 * slow).map(|t| t.2).collect();
    let least = share_below(slower.iter().copied(), 0.1).filter(|_| slower.len() >= SIDE_ROWS)?;
    let most = share_below(since.iter().map(|t| t.2), 0.9)?;
    let falls = 1.0 - LEAST_SHARE;
    // what hardly lifted may stop to by itself
    let much =
        (sums[k] - sums[k - beside]) / beside as f64 > MUCH * share_below(before.iter().map(|t| t.2), 0.9)?;
    (left(k) < falls && most < falls * least && much && is_long(told, k)).then_some(told[k].0)
}

/// 1, n and n^2 of each row, n about its mean and over its spread, but no less than a per cent of the mean.
fn powers(told: &[Told]) -> Vec<Vector3<f64>> {
    let of_all = |of: &dyn Fn(f64) -> f64| told.iter().map(|t| of(t.1)).sum::<f64>() / told.len() as f64;
    let mean = of_all(&|rpm| rpm);
    let spread = of_all(&|rpm| (rpm - mean).powi(2)).sqrt().max(0.01 * mean);
    let of = |rpm: f64| {
        let n = (rpm - mean) / spread;
        Vector3::new(1.0, n, n * n)
    };
    told.iter().map(|t| of(t.1)).collect()
}

/// Time, speed and a quantity.
type Told = (DateTime<FixedOffset>, f64, f64);

/// Time, speed and quantity of the rows in which it ran, so much time after starts left out.
fn ran(rows: &[Sample], of: fn(&Sample) -> Option<f64>, settles: TimeDelta) -> Vec<Told> {
    let mut stood: Option<DateTime<FixedOffset>> = None;
    let mut out = Vec::new();
    for s in rows {
        if !(s.runs() && s.turns()) {
            stood = Some(s.at);
        } else if stood.is_none_or(|at| s.at - at > settles)
            && let Some((rpm, value)) = s.get(Channel::MotorRpm).zip(of(s))
        {
            out.push((s.at, rpm, value));
        }
    }
    out
}

/// It ran so long, and so many rows, before the first trip.
const RAN: TimeDelta = TimeDelta::minutes(20);
const RAN_ROWS: usize = 10;

/// After it no run lasts so long.
const NO_RUN: TimeDelta = TimeDelta::minutes(4);

/// Of the run that a trip ended so much shows why.
const SHOWS_WHY: TimeDelta = TimeDelta::seconds(15);

/// The moment from which a pump that ran for long only trips, or stands; `None` where it runs on in between, and where a
/// dry signal stops it: how the level fell before is what parts its causes.
fn began_to_trip(rows: &[Sample]) -> Option<DateTime<FixedOffset>> {
    let trips = |s: &Sample| s.state == Some(PumpState::Tripped);
    let first = rows.iter().position(trips)?;
    let end = rows[..first].iter().rposition(Sample::runs)? + 1;
    let from = rows[..end].iter().rposition(|s| !s.runs()).map_or(0, |k| k + 1);
    let run = &rows[from..end];
    let long = run.first().zip(run.last()).is_some_and(|(a, b)| b.at - a.at >= RAN);
    if run.len() < RAN_ROWS || !long {
        return None;
    }
    let mut since: Option<DateTime<FixedOffset>> = None;
    for (k, s) in rows.iter().enumerate().skip(first) {
        since = s.runs().then(|| since.unwrap_or(s.at));
        let dry = outcome(s, Some(&rows[k - 1])) == Some(Outcome::Dry);
        if dry || since.is_some_and(|at| s.at - at >= NO_RUN) {
            return None;
        }
    }
    let apart = (rows[first].at - rows[end - 1].at).num_seconds();
    // a pump without load runs on for a while
    let unloaded = rows[first..].iter().any(|s| s.flags.is_some_and(|f| f.has(Flag::UnderLoad)));
    let shows = unloaded && apart <= MEANS_BEYOND_S;
    Some(if shows { rows[first].at - SHOWS_WHY } else { rows[end].at })
}

#[cfg(test)]
mod tests {
    use wellwright_domain::flags::Flags;

    use super::*;

    fn start() -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap()
    }

    /// An hour of 10 s rows; speed follows a slow wave, flow follows the speed, times `share` of the row.
    fn rows(share: impl Fn(i64) -> f64) -> Vec<Sample> {
        let row = |k: i64| {
            let rpm = 2600.0 + 250.0 * (k as f64 / 40.0).sin();
            let flow = 0.004 * (rpm - 1600.0) * share(k) + 0.02 * (k as f64 * 1.7).sin();
            let mut s = Sample::new(start() + TimeDelta::seconds(10 * k))
                .with(Channel::MotorRpm, rpm)
                .with(Channel::FlowM3H, flow.max(0.0));
            s.state = Some(PumpState::Running);
            s
        };
        (0..360).map(row).collect()
    }

    #[test]
    fn a_step_at_the_same_speed_is_the_onset() {
        let stepped = rows(|k| if k < 200 { 1.0 } else { 0.5 });
        assert_eq!(since_onset(&stepped).len(), 160);
        let shut = rows(|k| if k < 200 { 1.0 } else { 0.0 });
        assert_eq!(since_onset(&shut).len(), 160);
    }

    #[test]
    fn less_than_at_lower_speed_is_an_onset() {
        let mut shut = rows(|_| 1.0);
        for s in &mut shut[200..] {
            let rpm = s.get(Channel::MotorRpm).unwrap();
            s.set(Channel::MotorRpm, Some(1.25 * rpm));
            s.set(Channel::FlowM3H, Some(0.0));
        }
        assert_eq!(since_onset(&shut).len(), 160);
        // slower and less: the sun may do that
        for s in &mut shut[200..] {
            let rpm = s.get(Channel::MotorRpm).unwrap();
            s.set(Channel::MotorRpm, Some(0.5 * rpm));
        }
        assert_eq!(since_onset(&shut).len(), 360);
    }

    #[test]
    fn what_goes_with_speed_or_slowly_or_to_and_fro_is_none() {
        assert_eq!(since_onset(&rows(|_| 1.0)).len(), 360);
        assert_eq!(since_onset(&rows(|k| 1.0 - k as f64 / 500.0)).len(), 360);
        let mut limited = rows(|_| 1.0);
        for (k, s) in limited.iter_mut().enumerate() {
            s.set(Channel::MotorRpm, Some(2970.0));
            s.set(Channel::FlowM3H, Some(5.6 + 0.02 * (k as f64 * 1.7).sin()));
        }
        assert_eq!(since_onset(&limited).len(), 360);
        assert_eq!(since_onset(&rows(|k| if (k / 30) % 2 == 0 { 1.0 } else { 0.5 })).len(), 360);
        // the water that comes late to a pipe
        let mut fills = rows(|k| if k < 60 { 0.0 } else { 1.0 });
        fills[0].state = Some(PumpState::Stopped);
        assert_eq!(since_onset(&fills).len(), 360);
    }

    /// Half an hour after a start the water still settles, but nothing settles from one row to the next.
    #[test]
    fn a_sudden_step_is_told_soon_after_a_start() {
        let started = |share: fn(i64) -> f64| {
            let mut all = rows(share);
            all[0].state = Some(PumpState::Stopped);
            since_onset(&all).len()
        };
        assert_eq!(started(|k| if k < 160 { 1.0 } else { 0.5 }), 200);
        assert_eq!(started(|k| 1.0 - 0.4 * (k as f64 / 40.0).tanh()), 360, "it settles");
        assert_eq!(started(|k| if k < 160 { 0.05 } else { 1.0 }), 360, "the pipe has filled");
    }

    #[test]
    fn a_pump_that_only_trips_from_then_on() {
        let mut trips = rows(|_| 1.0);
        for (k, s) in trips.iter_mut().enumerate().skip(200) {
            s.state = Some(if k % 30 < 24 { PumpState::Tripped } else { PumpState::Running });
        }
        assert_eq!(since_onset(&trips).first().unwrap().at, trips[200].at);
        let mut unloaded = trips.clone();
        unloaded[200].flags = Some(Flags::NONE.with(Flag::UnderLoad));
        assert_eq!(since_onset(&unloaded).first().unwrap().at, trips[199].at, "a row of the run shows why");
        // it stood, and tried again, before the first trip
        let mut tries = trips.clone();
        for s in &mut tries[180..200] {
            s.state = Some(PumpState::Stopped);
        }
        assert_eq!(since_onset(&tries).first().unwrap().at, tries[180].at);
        for s in &mut trips[300..] {
            s.state = Some(PumpState::Running);
        }
        assert_eq!(since_onset(&trips).len(), 360, "it runs on");
    }
}
