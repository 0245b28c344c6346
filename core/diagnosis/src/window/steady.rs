//! Steady points: means over stretches at nearly one speed.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

use super::filling;
use super::lit::{self, Lit};
use super::unsteady::{self, Unsteady};

/// Most steady points that a look keeps: more would only repeat the same errors.
const MOST_POINTS: usize = 4;

/// Most points from stretches of changing speed. Power, current and voltage follow the speed at once, so these
/// still tell the electrical side, and often at speeds where nothing was steady.
const MOST_MOVING: usize = 2;

/// Most stretches in which the pipe was filling.
const MOST_FILLING: usize = 2;

/// Instants kept of a stretch.
const MOST_TIMES: usize = 4;

/// Rows after a start that are left out when later ones exist, seconds: the column fills and the ramp ends.
const SETTLE_S: i64 = 150;

/// Neighbours are rows within so many seconds, and within so many rows, either side.
const QUIET_S: i64 = 20;
const QUIET_ROWS: usize = 10;

/// Speed may differ by this share between neighbours.
const QUIET_SHARE: f64 = 0.03;

/// Rows of one stretch differ in speed by no more than this share from its middle.
const BIN_SHARE: f64 = 0.025;

/// Rows further apart are means over their interval (contract), s.
pub const MEANS_BEYOND_S: i64 = 60;

/// Mean of the rows of one stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Steady {
    /// Middle of the stretch.
    pub at: DateTime<FixedOffset>,
    /// Minutes of pumping that the well still feels: a rest takes as many away as it lasts.
    pub minutes: f64,
    /// Minutes since its run began.
    pub running: f64,
    /// Rows in it.
    pub rows: usize,
    /// The speed was changing: only electrical quantities can be compared.
    pub moving: bool,
    /// The pipe was filling: nothing of the load can be compared.
    pub filling: bool,
    /// Its rows are means over a minute or more, in which the speed may have changed.
    pub averaged: bool,
    /// DC power from which the speed was guessed, W: that of a healthy plant that draws it. `None` where it was told.
    pub guessed_by_w: Option<f64>,
    /// How much of it, and of the minutes before, lay in the sun.
    pub lit: Lit,
    /// How much its readings vary at its speed; nothing where the speed changed or rows are means.
    pub unsteady: Unsteady,
    /// Instants that stand for the stretch: the sun moves on in a long one.
    pub times: Vec<DateTime<FixedOffset>>,
    means: [Option<f64>; Channel::COUNT],
    spread: [f64; Channel::COUNT],
    counts: [usize; Channel::COUNT],
}

impl Steady {
    /// Mean of a channel.
    pub fn get(&self, channel: Channel) -> Option<f64> {
        self.means[channel as usize]
    }

    /// Uncertainty of that mean from scatter alone, in the channel's unit. Neighbouring rows are not
    /// independent, so the scatter shrinks with the root of at most ten rows.
    pub fn scatter(&self, channel: Channel) -> f64 {
        let n = self.counts[channel as usize].clamp(1, 10) as f64;
        self.spread[channel as usize] / n.sqrt()
    }

    /// Mean of the phase currents that are measured.
    pub fn phase_a(&self) -> Option<f64> {
        let amps: Vec<f64> = PHASES.iter().filter_map(|c| self.get(*c)).collect();
        if amps.is_empty() { None } else { Some(amps.iter().sum::<f64>() / amps.len() as f64) }
    }

    /// The three phase currents over their mean, when all are measured and not all zero.
    pub fn unbalance(&self) -> Option<[f64; 3]> {
        let amps = [self.get(PHASES[0])?, self.get(PHASES[1])?, self.get(PHASES[2])?];
        let mean = (amps[0] + amps[1] + amps[2]) / 3.0;
        if mean < 0.05 { None } else { Some(amps.map(|a| a / mean)) }
    }

    /// DC power, W.
    pub fn dc_w(&self) -> Option<f64> {
        Some(self.get(Channel::ArrayV)? * self.get(Channel::ArrayA)?)
    }

    /// Speed, rpm.
    pub fn rpm(&self) -> Option<f64> {
        self.get(Channel::MotorRpm)
    }
}

/// The three phase channels.
pub const PHASES: [Channel; 3] = [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA];

/// A row in which the motor turned.
pub(super) struct Row<'a> {
    pub(super) sample: &'a Sample,
    /// Minutes since its run began.
    pub(super) running: f64,
    /// The pipe was filling.
    pub(super) filling: bool,
    /// Of pumping that the well still feels.
    minutes: f64,
    lit: Lit,
}

/// Steady points of a window and the number of rows that went into them.
pub fn steady_points(samples: &[Sample]) -> (Vec<Steady>, usize) {
    let mut running = running_rows(samples);
    filling::mark(&mut running);
    let quiet = quiet_rows(&running);
    let settled: Vec<bool> = running.iter().map(|r| r.running * 60.0 >= SETTLE_S as f64).collect();
    let mut steady: Vec<bool> =
        quiet.iter().zip(&settled).map(|(quiet, settled)| *quiet && *settled).collect();
    if steady.iter().filter(|s| **s).count() < 6 {
        // only short runs: the fastest rows are where the ramp had ended
        let top = running.iter().map(speed).fold(0.0, f64::max);
        steady = running.iter().map(|r| speed(r) >= 0.93 * top).collect();
    }
    let of = |wanted: &dyn Fn(usize) -> bool| -> Vec<&Row> {
        running.iter().enumerate().filter(|(k, _)| wanted(*k)).map(|(_, r)| r).collect()
    };
    let rows = of(&|k| steady[k] && !running[k].filling);
    let filling = of(&|k| steady[k] && running[k].filling);
    if rows.is_empty() && filling.is_empty() {
        return (Vec::new(), 0);
    }
    let interval_s = typical_interval(samples);
    // a mean tells of the middle of the interval that ends at its time (contract)
    let back_s = if interval_s > MEANS_BEYOND_S { interval_s / 2 } else { 0 };
    let averaged = back_s > 0;
    let mut points = Vec::new();
    let mut used = 0;
    // one mean alone may hold a stop that nobody sees
    let least = if averaged && rows.len() >= 8 { 2 } else { 1 };
    for stretch in stretches(&rows, MOST_POINTS).into_iter().filter(|s| s.len() >= least) {
        used += stretch.len();
        points.push(mean(&stretch, false, back_s));
    }
    let moving = of(&|k| settled[k] && !quiet[k] && !steady[k] && !running[k].filling);
    let more = [(moving, MOST_MOVING, true), (filling, MOST_FILLING, false)];
    for (rows, most, moving) in more {
        for stretch in stretches(&rows, most).into_iter().filter(|s| s.len() >= 3) {
            used += stretch.len();
            points.push(mean(&stretch, moving, back_s));
        }
    }
    points.sort_by_key(|p| p.at);
    (points, used)
}

/// Rows whose neighbours run at nearly the same speed. While a cloud passes, sensors, best-point search, column
/// and well all lag: such rows say little about any of them.
fn quiet_rows(rows: &[Row]) -> Vec<bool> {
    let near = |i: usize, j: usize| {
        let (a, b) = (speed(&rows[i]), speed(&rows[j]));
        let apart = (rows[j].sample.at - rows[i].sample.at).num_seconds().abs();
        apart > QUIET_S || (b / a - 1.0).abs() < QUIET_SHARE
    };
    (0..rows.len())
        .map(|i| {
            let back = (0..i).rev().take(QUIET_ROWS).all(|j| near(i, j));
            back && (i + 1..rows.len()).take(QUIET_ROWS).all(|j| near(i, j))
        })
        .collect()
}

/// A run that is under way when a recording begins is taken to have lasted so long (engineering judgement: the well has
/// found its level).
pub const RUNS_ALREADY: TimeDelta = TimeDelta::minutes(60);

/// Of a run before a rest no more is felt, min.
const MOST_FELT_MIN: f64 = 60.0;

fn minutes_between(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> f64 {
    (to - from).num_milliseconds() as f64 / 60_000.0
}

/// Rows in which the motor turned, with the minutes since their start.
fn running_rows(samples: &[Sample]) -> Vec<Row<'_>> {
    let mut out: Vec<Row> = Vec::new();
    let mut started: Option<DateTime<FixedOffset>> = None;
    // what the last run left, min, and its end
    let mut left: Option<(f64, DateTime<FixedOffset>)> = None;
    let mut felt = 0.0;
    let mut previous: Option<&Sample> = None;
    let typical = typical_interval(samples);
    // where nothing tells the array voltage, the load still speaks
    let blind = samples.iter().all(|s| s.get(Channel::ArrayV).is_none());
    let lit = lit::lit(samples);
    for (i, s) in samples.iter().enumerate() {
        let speed = s.get(Channel::MotorRpm);
        let runs = s.runs() && s.turns();
        let silent = s.state.is_none() && speed.is_none();
        if silent {
            continue;
        }
        if runs {
            let gap = previous.is_some_and(|p| s.at - p.at > TimeDelta::minutes(30));
            // the first run of a window may have begun long before it
            let fresh = i == 0 || (previous.is_none() && out.is_empty());
            if started.is_none() {
                felt = left
                    .take()
                    .map_or(0.0, |(m, end)| (m - minutes_between(end, s.at)).clamp(0.0, MOST_FELT_MIN));
            }
            let begin = *started.get_or_insert(if fresh { s.at - RUNS_ALREADY } else { s.at });
            if gap {
                started = Some(s.at - TimeDelta::minutes(30));
            }
            let mean_of_a_start = typical > MEANS_BEYOND_S && (s.at - begin).num_seconds() < typical;
            if (blind || s.get(Channel::ArrayV).is_some())
                && !mean_of_a_start
                && !next_differs(samples, i, typical)
            {
                let begin = started.unwrap_or(begin);
                let running = minutes_between(begin, s.at);
                out.push(Row { sample: s, running, filling: false, minutes: felt + running, lit: lit[i] });
            }
        } else if let Some(begin) = started.take() {
            left = Some((felt + minutes_between(begin, s.at), s.at));
        }
        previous = Some(s);
    }
    out
}

/// A mean over an interval in which the state changed says nothing about either.
fn next_differs(samples: &[Sample], i: usize, typical_s: i64) -> bool {
    typical_s > MEANS_BEYOND_S && samples.get(i + 1).is_some_and(|n| n.state != samples[i].state)
}

/// Whole seconds, rounded.
fn seconds_between(a: &Sample, b: &Sample) -> i64 {
    ((b.at - a.at).num_milliseconds() + 500) / 1000
}

fn typical_interval(samples: &[Sample]) -> i64 {
    let mut steps: Vec<i64> = samples.windows(2).take(500).map(|w| seconds_between(&w[0], &w[1])).collect();
    steps.sort_unstable();
    steps.get(steps.len() / 2).copied().unwrap_or(1)
}

/// Splits rows by speed into narrow bins, and each bin by time when it is long.
fn stretches<'a>(rows: &[&'a Row<'a>], most: usize) -> Vec<Vec<&'a Row<'a>>> {
    if rows.is_empty() {
        return Vec::new();
    }
    let mut by_speed: Vec<&Row> = rows.to_vec();
    by_speed.sort_by(|a, b| speed(a).total_cmp(&speed(b)));
    let mut bins: Vec<Vec<&Row>> = Vec::new();
    let wanted = (rows.len() / 4).clamp(1, most);
    let size = rows.len().div_ceil(wanted);
    for chunk in by_speed.chunks(size) {
        // nearly one speed, also where few rows have to stand for a whole day
        let middle = speed(chunk[chunk.len() / 2]);
        let near = |r: &&Row| (speed(r) / middle.max(1.0) - 1.0).abs() <= BIN_SHARE;
        let mut bin: Vec<&Row> = chunk.iter().copied().filter(near).collect();
        bin.sort_by_key(|r| r.sample.at);
        bins.push(bin);
    }
    bins
}

fn speed(row: &Row) -> f64 {
    row.sample.get(Channel::MotorRpm).unwrap_or(0.0)
}

/// Mean of a stretch. `back_s`: rows are means that tell of so many seconds before their time; 0 where they are
/// samples.
fn mean(rows: &[&Row], moving: bool, back_s: i64) -> Steady {
    let (averaged, back) = (back_s > 0, TimeDelta::seconds(back_s));
    let back_min = back_s as f64 / 60.0;
    let mut means = [None; Channel::COUNT];
    let mut spread = [0.0; Channel::COUNT];
    let mut counts = [0; Channel::COUNT];
    for c in Channel::ALL {
        let mut values: Vec<f64> = rows.iter().filter_map(|r| r.sample.get(c)).collect();
        if values.is_empty() {
            continue;
        }
        values.sort_by(f64::total_cmp);
        // a tenth at either end goes: single wild readings do not move the mean
        let cut = values.len() / 10;
        let kept = &values[cut..values.len() - cut];
        let m = kept.iter().sum::<f64>() / kept.len() as f64;
        let var = kept.iter().map(|v| (v - m).powi(2)).sum::<f64>() / kept.len().max(2) as f64;
        means[c as usize] = Some(m);
        spread[c as usize] = var.sqrt();
        counts[c as usize] = kept.len();
    }
    let middle = rows[rows.len() / 2];
    let mean_of = |of: fn(&Row) -> f64| rows.iter().map(|r| of(r)).sum::<f64>() / rows.len() as f64;
    let every = rows.len().div_ceil(MOST_TIMES);
    let times = rows.iter().skip(every / 2).step_by(every).map(|r| r.sample.at - back).collect();
    let scatter = || unsteady::of_rows(&rows.iter().map(|r| r.sample).collect::<Vec<_>>());
    let filling = middle.filling;
    let unsteady = if moving || filling || averaged { Unsteady::default() } else { scatter() };
    Steady {
        at: middle.sample.at - back,
        unsteady,
        minutes: (mean_of(|r| r.minutes) - back_min).max(0.0),
        running: (mean_of(|r| r.running) - back_min).max(0.0),
        rows: rows.len(),
        moving,
        filling,
        averaged,
        guessed_by_w: None,
        lit: Lit { now: mean_of(|r| r.lit.now), lately: mean_of(|r| r.lit.lately) },
        times,
        means,
        spread,
        counts,
    }
}
