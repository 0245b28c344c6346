//! What happened when it did not run: which kinds of stop, how often, and the readings at rest.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::sample::Sample;

use super::outcome::Outcome;
use super::steady::{MEANS_BEYOND_S, PHASES};

/// Stops of a window.
#[derive(Debug, Clone, PartialEq)]
pub struct Stops {
    /// Daylight rows by outcome, in the order of [`Outcome::SEEN`].
    rows: [usize; Outcome::SEEN.len()],
    /// Running rows by what their flags warn of.
    warned: [usize; Outcome::ALL.len()],
    /// Protective stops that began inside the window.
    pub trips: usize,
    /// Starts inside the window.
    pub starts: usize,
    /// Stops between two runs by day of which nothing at all was said.
    pub silent: usize,
    /// Resting rows by day whose state says that it runs.
    pub senseless: usize,
    /// Rows at night.
    pub night: usize,
    /// What the last known row says.
    pub last: Option<Outcome>,
    /// So long it stood at the end of the window by day, without a start, min.
    pub stood_min: f64,
    /// The last row is one of a start.
    pub starting: bool,
    /// The middle one of the resting rows by day.
    pub rest_at: Option<DateTime<FixedOffset>>,
    /// Mean voltage at rest, when known.
    pub rest_v: Option<f64>,
    /// Irradiance at rest.
    pub rest_irradiance: Option<f64>,
    /// Irradiance while the array is said to carry too little, W/m2.
    pub low_power_irradiance: Option<f64>,
    /// Back of module at rest.
    pub rest_module_c: Option<f64>,
    /// Resting water level, m.
    pub rest_level_m: Option<f64>,
    /// Highest that the water stood in the window, m below the wellhead, but for single rows.
    pub highest_level_m: Option<f64>,
    /// Deepest that the water stood when a dry signal stopped the pump, m below the wellhead.
    pub dry_level_m: Option<f64>,
    /// Water level before the first run of the window, m, and how far it still moved meanwhile.
    pub level_before_m: Option<(f64, f64)>,
    /// Tank while the full signal holds, %.
    pub full_tank_pct: Option<f64>,
    /// Rows whose flags tell of heat while it runs, over all rows that run.
    pub hot_share: f64,
    /// Highest pressure while a trip held, kPa.
    pub trip_kpa: Option<f64>,
    /// Highest phase currents at the moment of a trip or in a start, A, when they were caught.
    pub start_amps: Option<[f64; 3]>,
    /// Rows that were counted.
    pub rows_used: usize,
}

impl Stops {
    /// Daylight rows with an outcome.
    pub fn count(&self, outcome: Outcome) -> usize {
        self.rows[outcome as usize]
    }

    /// Running rows whose flags warn of it.
    pub fn warned(&self, of: Outcome) -> usize {
        self.warned[of as usize]
    }

    /// Daylight rows with any outcome.
    pub fn daylight(&self) -> usize {
        self.rows.iter().sum()
    }

    /// Share of daylight rows with an outcome.
    pub fn share(&self, outcome: Outcome) -> f64 {
        let all = self.daylight();
        if all == 0 { 0.0 } else { self.count(outcome) as f64 / all as f64 }
    }

    /// More kinds of protective stop, each in more than a slip of a row, than one fault gives reason for.
    pub fn names_too_many_reasons(&self) -> bool {
        let kinds = Outcome::ALL.into_iter().filter(|o| o.is_trip() && self.count(*o) > 1);
        kinds.count() >= TOO_MANY_REASONS
    }

    /// Daylight rows with what may have been an outcome.
    pub fn count_maybe(&self, outcome: Outcome) -> usize {
        let told = Outcome::ALL.contains(&outcome);
        outcome.may_be().map(|o| self.count(o)).sum::<usize>() + if told { 0 } else { self.count(outcome) }
    }

    /// A protective stop that holds at the end of the window for longer than a controller waits before it tries again.
    pub fn stays_tripped(&self) -> bool {
        self.last.is_some_and(Outcome::is_trip) && self.stood_min > LONGEST_WAIT_MIN
    }

    /// The kind of protective stop that held longest, with its share of daylight.
    pub fn main_trip(&self) -> Option<(Outcome, f64)> {
        Outcome::SEEN
            .into_iter()
            .filter(|o| o.is_trip() && self.count(*o) > 0)
            .max_by_key(|o| self.count(*o))
            .map(|o| (o, self.share(o)))
    }
}

/// No controller waits longer before it tries again, min (common practice, no single source: half an hour to an hour).
const LONGEST_WAIT_MIN: f64 = 75.0;

/// Rows farther apart than this are no stretch, s: twice the longest interval.
const LONGEST_UNSEEN_S: i64 = 1800;

/// One fault stops a pump for one reason or two, not for so many (engineering judgement).
const TOO_MANY_REASONS: usize = 3;

/// The state says that it runs, and neither speed nor current says so.
pub fn is_senseless(s: &Sample) -> bool {
    let nothing = |c: Channel, least: f64| s.get(c).is_none_or(|v| v < least);
    s.state == Some(PumpState::Running)
        && s.get(Channel::MotorRpm).is_some_and(|n| n < 1.0)
        && nothing(Channel::ArrayA, 0.3)
        && nothing(Channel::FlowM3H, 0.05)
        && PHASES.into_iter().all(|c| nothing(c, 0.3))
}

/// What a row shows; `None` where it says nothing, in a start, and in the first row of a trip, which often carries no
/// flag yet. `before`: the row before.
pub(super) fn outcome(s: &Sample, before: Option<&Sample>) -> Option<Outcome> {
    let speed = s.get(Channel::MotorRpm);
    let flagged = s.flags.and_then(Outcome::of_flags);
    let tripped = before.is_some_and(|b| b.state == Some(PumpState::Tripped));
    match s.state {
        // in the first such row the motor may be about to turn
        Some(PumpState::Running) if is_senseless(s) => {
            before.filter(|b| is_senseless(b)).map(|_| flagged.unwrap_or_else(|| without_flag(s)))
        }
        Some(PumpState::Running) => Some(Outcome::Runs),
        // neither a run nor a stop; the rows before and after tell
        Some(PumpState::Starting) => None,
        Some(PumpState::Tripped) => match s.flags {
            _ if flagged.is_some() => flagged,
            _ if !tripped => None,
            None => Some(Outcome::SomeTrip),
            Some(_) => Some(Outcome::Silent),
        },
        Some(PumpState::Stopped) => flagged.or(Some(without_flag(s))),
        None if speed.is_some_and(|n| n > 0.0) => Some(Outcome::Runs),
        None => flagged.or(speed.map(|_| without_flag(s))),
    }
}

/// A stop without a flag: nothing is said, or nothing can be.
fn without_flag(s: &Sample) -> Outcome {
    if s.flags.is_some() { Outcome::Silent } else { Outcome::Stands }
}

/// Goes through a window once.
pub fn look_at_stops(samples: &[Sample], sun_up: impl Fn(DateTime<FixedOffset>) -> bool) -> Stops {
    let mut stops = Stops {
        rows: [0; Outcome::SEEN.len()],
        warned: [0; Outcome::ALL.len()],
        trips: 0,
        starts: 0,
        silent: 0,
        senseless: 0,
        night: 0,
        last: None,
        stood_min: 0.0,
        starting: samples.last().is_some_and(|s| s.state == Some(PumpState::Starting)),
        rest_at: None,
        rest_v: None,
        rest_irradiance: None,
        low_power_irradiance: None,
        rest_module_c: None,
        rest_level_m: None,
        highest_level_m: highest_level(samples),
        dry_level_m: None,
        level_before_m: level_before(samples),
        full_tank_pct: None,
        hot_share: 0.0,
        trip_kpa: None,
        start_amps: None,
        rows_used: 0,
    };
    let mut rest = [Mean::default(); 4];
    let mut rested = Vec::new();
    let (mut full_tank, mut low_power) = (Mean::default(), Mean::default());
    let (mut hot, mut ran) = (0usize, 0usize);
    let mut previous: Option<Outcome> = None;
    let mut silent = false;
    // since it last ran it stood, or was seen to start
    let mut stood = false;
    let mut standing_since = None;
    let mut up = (None, false);
    let first_start = samples
        .iter()
        .position(|s| matches!(s.state, Some(PumpState::Running | PumpState::Starting | PumpState::Tripped)));
    for (i, s) in samples.iter().enumerate() {
        note_start_currents(&mut stops, s);
        let before = i.checked_sub(1).map(|k| &samples[k]);
        let Some(o) = outcome(s, before) else {
            // a start, or the first row of a trip: what follows is a new stop
            if matches!(s.state, Some(PumpState::Starting | PumpState::Tripped)) {
                previous = None;
                stood = true;
            }
            if s.state == Some(PumpState::Starting) {
                standing_since = None;
            }
            continue;
        };
        // the sun moves slowly: ask once a minute
        if up.0.is_none_or(|t: DateTime<FixedOffset>| (s.at - t).num_seconds().abs() >= 60) {
            up = (Some(s.at), sun_up(s.at));
        }
        // what nobody saw may have been a run
        let seen = before.is_some_and(|b| (s.at - b.at).num_seconds() <= LONGEST_UNSEEN_S);
        let since = standing_since.filter(|_| seen);
        standing_since = (o != Outcome::Runs && up.1).then(|| since.unwrap_or(s.at));
        let starts = stood && o == Outcome::Runs;
        stood = o != Outcome::Runs;
        if !up.1 && o != Outcome::Runs {
            stops.night += 1;
            silent = false;
            stops.last = Some(o);
            previous = Some(o);
            continue;
        }
        // switched off by hand before the first start of the window: not a stop that needs a reason
        let before_start = o == Outcome::SwitchedOff && first_start.is_some_and(|f| i < f);
        if !before_start {
            stops.rows[o as usize] += 1;
            stops.rows_used += usize::from(o != Outcome::Runs);
            stops.senseless += usize::from(o != Outcome::Runs && s.state == Some(PumpState::Running));
        }
        if o == Outcome::Runs {
            ran += 1;
            if let Some(of) = s.flags.and_then(Outcome::of_flags) {
                stops.warned[of as usize] += 1;
            }
            hot += usize::from(s.flags.is_some_and(|f| f.has(Flag::OverTemperature)));
        }
        if o == Outcome::Dry && previous != Some(o) {
            let level = level_at(&samples[..=i]);
            stops.dry_level_m = stops.dry_level_m.into_iter().chain(level).reduce(f64::max);
        }
        if o == Outcome::TankFull {
            full_tank.add(s.get(Channel::TankLevelPct));
        }
        if o == Outcome::LowPower {
            low_power.add(s.get(Channel::IrradianceWM2));
        }
        stops.starts += usize::from(starts);
        // also where rows of the start stand between
        stops.silent += usize::from(silent && o == Outcome::Runs);
        silent = o == Outcome::Silent && (silent || previous == Some(Outcome::Runs));
        if o.is_trip() && previous != Some(o) {
            stops.trips += 1;
        }
        if o != Outcome::Runs {
            rested.push(s.at);
            rest[0].add(s.get(Channel::ArrayV));
            rest[1].add(s.get(Channel::IrradianceWM2));
            rest[2].add(s.get(Channel::ModuleC));
            rest[3].add(s.get(Channel::WaterLevelM));
            if let Some(kpa) = s.get(Channel::WellheadKpa).filter(|_| o.is_trip()) {
                stops.trip_kpa = Some(stops.trip_kpa.map_or(kpa, |k: f64| k.max(kpa)));
            }
        }
        stops.last = Some(o);
        previous = Some(o);
    }
    stops.stood_min =
        standing_since.zip(samples.last()).map_or(0.0, |(from, s)| (s.at - from).num_seconds() as f64 / 60.0);
    stops.rest_at = rested.get(rested.len() / 2).copied();
    stops.full_tank_pct = full_tank.value();
    stops.low_power_irradiance = low_power.value();
    stops.hot_share = hot as f64 / ran.max(1) as f64;
    [stops.rest_v, stops.rest_irradiance, stops.rest_module_c, stops.rest_level_m] = rest.map(Mean::value);
    stops
}

/// Of a hundred levels the third highest, of fewer at least the second, so that no single row decides.
fn highest_level(samples: &[Sample]) -> Option<f64> {
    let mut levels: Vec<f64> = samples.iter().filter_map(|s| s.get(Channel::WaterLevelM)).collect();
    levels.sort_by(f64::total_cmp);
    levels.get((levels.len() / 50).max(usize::from(levels.len() > 2))).copied()
}

/// Deepest level of the last row and those within the minute before it; rows farther apart are means.
fn level_at(rows: &[Sample]) -> Option<f64> {
    let last = rows.last()?.at;
    let near = rows.iter().rev().take_while(|s| (last - s.at).num_seconds() <= MEANS_BEYOND_S);
    near.filter_map(|s| s.get(Channel::WaterLevelM)).reduce(f64::max)
}

/// Mean level of the rows before the first run, and how far apart their ends are.
fn level_before(samples: &[Sample]) -> Option<(f64, f64)> {
    let first = samples.iter().position(Sample::turns)?;
    let levels: Vec<f64> = samples[..first].iter().filter_map(|s| s.get(Channel::WaterLevelM)).collect();
    let tenth = levels.len().div_ceil(10);
    let mean = |l: &[f64]| l.iter().sum::<f64>() / l.len() as f64;
    (levels.len() > 2)
        .then(|| (mean(&levels), mean(&levels[..tenth]) - mean(&levels[levels.len() - tenth..])))
}

/// Currents at the moment of a start or trip tell an open lead from a stuck rotor.
fn note_start_currents(stops: &mut Stops, s: &Sample) {
    if !matches!(s.state, Some(PumpState::Tripped | PumpState::Starting)) {
        return;
    }
    let amps = [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA].map(|c| s.get(c));
    if let [Some(u), Some(v), Some(w)] = amps {
        let top = u.max(v).max(w);
        if top > 0.2 && stops.start_amps.is_none_or(|a| top > a[0].max(a[1]).max(a[2])) {
            stops.start_amps = Some([u, v, w]);
        }
    }
}

#[derive(Clone, Copy, Default)]
struct Mean {
    sum: f64,
    n: usize,
}

impl Mean {
    fn add(&mut self, v: Option<f64>) {
        if let Some(v) = v {
            self.sum += v;
            self.n += 1;
        }
    }
    fn value(self) -> Option<f64> {
        if self.n == 0 { None } else { Some(self.sum / self.n as f64) }
    }
}
