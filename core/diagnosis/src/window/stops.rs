//! What happened when it did not run: which kinds of stop, how often, and the readings at rest.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::sample::Sample;

use super::levels;
use super::outcome::Outcome;
use super::steady::PHASES;

/// Stops of a window.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stops {
    /// Daylight rows by outcome, in the order of [`Outcome::SEEN`]; of a window without any, its protective stops.
    rows: [usize; Outcome::SEEN.len()],
    /// Running rows by what their flags warn of.
    warned: [usize; Outcome::ALL.len()],
    /// Protective stops by day, one in which the window opens with them.
    pub trips: usize,
    /// Starts inside the window.
    pub starts: usize,
    /// Stops between two runs by day of which nothing at all was said.
    pub silent: usize,
    /// Signals of a full tank that ended by themselves: it ran again.
    pub emptied: usize,
    /// Resting rows by day whose state says that it runs.
    pub senseless: usize,
    /// Rows at night.
    pub night: usize,
    /// What the last known row says.
    pub last: Option<Outcome>,
    /// So long it stood at the end of the window by day, without a start, min.
    pub stood_min: f64,
    /// The last known row is one at night in which it stands.
    pub ends_at_night: bool,
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
    /// Water level of a well that has rested, m below the wellhead.
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

    /// It stands at the end of the window, and no start is to come by itself: longer than a controller waits before it
    /// tries again, or at night.
    pub fn waits_no_more(&self) -> bool {
        self.ends_at_night || self.stood_min > LONGEST_WAIT_MIN
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

/// A well comes back to its level of rest in so long (contract: sounded after 30 min), most of the way in less.
const WATER_RESTS: TimeDelta = TimeDelta::minutes(20);

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
    let tried =
        |s: &Sample| matches!(s.state, Some(PumpState::Running | PumpState::Starting | PumpState::Tripped));
    let mut walk = Walk {
        stops: Stops {
            starting: samples.last().is_some_and(|s| s.state == Some(PumpState::Starting)),
            highest_level_m: levels::highest(samples),
            level_before_m: levels::before_first_run(samples),
            ..Stops::default()
        },
        first_try: samples.iter().find(|s| tried(s)).map(|s| s.at),
        ..Walk::default()
    };
    let mut up: Option<(DateTime<FixedOffset>, bool)> = None;
    for (i, s) in samples.iter().enumerate() {
        walk.note_start_currents(s);
        let Some(o) = outcome(s, i.checked_sub(1).map(|k| &samples[k])) else {
            walk.begins_anew(s);
            continue;
        };
        // the sun moves slowly: ask once a minute
        if up.is_none_or(|(at, _)| (s.at - at).num_seconds().abs() >= 60) {
            up = Some((s.at, sun_up(s.at)));
        }
        walk.goes_on(samples, i, o, up.is_some_and(|(_, up)| up));
    }
    walk.end()
}

/// What is carried from row to row.
#[derive(Default)]
struct Walk {
    stops: Stops,
    /// The first row in which it ran, or tried to.
    first_try: Option<DateTime<FixedOffset>>,
    /// Outcome of the row before, and the time of the last row that had one.
    previous: Option<Outcome>,
    heard: Option<DateTime<FixedOffset>>,
    /// A stop without a word is under way.
    silent: bool,
    /// Since it last ran it stood, or was seen to start.
    stood: bool,
    /// Since it last ran the tank was full.
    full: bool,
    /// By day without a start.
    standing_since: Option<DateTime<FixedOffset>>,
    /// End of its last run.
    ran_until: Option<DateTime<FixedOffset>>,
    /// Protective stops at night, by outcome.
    night_trips: [usize; Outcome::SEEN.len()],
    rested: Vec<DateTime<FixedOffset>>,
    /// Voltage, irradiance, module and level at rest.
    rest: [Mean; 4],
    full_tank: Mean,
    low_power: Mean,
    hot: usize,
    ran: usize,
}

impl Walk {
    /// A start, or the first row of a trip: what follows is a new stop.
    fn begins_anew(&mut self, s: &Sample) {
        if matches!(s.state, Some(PumpState::Starting | PumpState::Tripped)) {
            self.previous = None;
            self.stood = true;
        }
        if s.state == Some(PumpState::Starting) {
            self.standing_since = None;
        }
    }

    /// One more row with an outcome.
    fn goes_on(&mut self, samples: &[Sample], i: usize, o: Outcome, sun_is_up: bool) {
        let s = &samples[i];
        let runs = o == Outcome::Runs;
        // what nobody saw may have been a run
        let seen = self.heard.is_some_and(|at| (s.at - at).num_seconds() <= LONGEST_UNSEEN_S);
        let since = self.standing_since.filter(|_| seen);
        self.standing_since = (!runs && sun_is_up).then(|| since.unwrap_or(s.at));
        self.heard = Some(s.at);
        let starts = self.stood && runs;
        self.stood = !runs;
        self.stops.emptied += usize::from(runs && self.full);
        self.full = !runs && (self.full || o == Outcome::TankFull);
        self.stops.ends_at_night = !sun_is_up && !runs;
        if self.stops.ends_at_night {
            self.stops.night += 1;
            self.night_trips[o as usize] += usize::from(o.is_trip());
            self.silent = false;
        } else {
            self.by_day(samples, i, o);
            self.stops.starts += usize::from(starts);
        }
        self.stops.last = Some(o);
        self.previous = Some(o);
    }

    fn by_day(&mut self, samples: &[Sample], i: usize, o: Outcome) {
        let (s, stops) = (&samples[i], &mut self.stops);
        // switched off by hand before the first start of the window: not a stop that needs a reason
        let before_start = o == Outcome::SwitchedOff && self.first_try.is_some_and(|first| s.at < first);
        if !before_start {
            stops.rows[o as usize] += 1;
            stops.rows_used += usize::from(o != Outcome::Runs);
            stops.senseless += usize::from(o != Outcome::Runs && s.state == Some(PumpState::Running));
        }
        // also where rows of the start stand between
        stops.silent += usize::from(self.silent && o == Outcome::Runs);
        self.silent = o == Outcome::Silent && (self.silent || self.previous == Some(Outcome::Runs));
        stops.trips += usize::from(o.is_trip() && self.previous != Some(o));
        match o {
            Outcome::Runs => return self.runs(s),
            Outcome::Dry if self.previous != Some(o) => {
                let level = levels::at_last(&samples[..=i]);
                stops.dry_level_m = stops.dry_level_m.into_iter().chain(level).reduce(f64::max);
            }
            Outcome::TankFull => self.full_tank.add(s.get(Channel::TankLevelPct)),
            Outcome::LowPower => self.low_power.add(s.get(Channel::IrradianceWM2)),
            _ => {}
        }
        self.rests(s, o);
    }

    fn runs(&mut self, s: &Sample) {
        self.ran += 1;
        self.ran_until = Some(s.at);
        if let Some(of) = s.flags.and_then(Outcome::of_flags) {
            self.stops.warned[of as usize] += 1;
        }
        self.hot += usize::from(s.flags.is_some_and(|f| f.has(Flag::OverTemperature)));
    }

    fn rests(&mut self, s: &Sample, o: Outcome) {
        self.rested.push(s.at);
        let [volts, light, module, level] = &mut self.rest;
        volts.add(s.get(Channel::ArrayV));
        light.add(s.get(Channel::IrradianceWM2));
        module.add(s.get(Channel::ModuleC));
        // one that stood when the window began has rested
        if self.ran_until.is_none_or(|at| s.at - at >= WATER_RESTS) {
            level.add(s.get(Channel::WaterLevelM));
        }
        if let Some(kpa) = s.get(Channel::WellheadKpa).filter(|_| o.is_trip()) {
            self.stops.trip_kpa = Some(self.stops.trip_kpa.map_or(kpa, |k: f64| k.max(kpa)));
        }
    }

    /// Currents at the moment of a start or trip tell an open lead from a stuck rotor.
    fn note_start_currents(&mut self, s: &Sample) {
        if !matches!(s.state, Some(PumpState::Tripped | PumpState::Starting)) {
            return;
        }
        let amps = PHASES.map(|c| s.get(c));
        if let [Some(u), Some(v), Some(w)] = amps {
            let top = u.max(v).max(w);
            if top > 0.2 && self.stops.start_amps.is_none_or(|a| top > a[0].max(a[1]).max(a[2])) {
                self.stops.start_amps = Some([u, v, w]);
            }
        }
    }

    fn end(self) -> Stops {
        let mut stops = self.stops;
        if stops.daylight() == 0 {
            // a pump without sun rests, but a protective stop is none that the sun makes
            stops.rows = self.night_trips;
            stops.rows_used = stops.rows.iter().sum();
        }
        let stood = self.standing_since.zip(self.heard);
        stops.stood_min = stood.map_or(0.0, |(from, to)| (to - from).num_seconds() as f64 / 60.0);
        stops.rest_at = self.rested.get(self.rested.len() / 2).copied();
        stops.full_tank_pct = self.full_tank.value();
        stops.low_power_irradiance = self.low_power.value();
        stops.hot_share = self.hot as f64 / self.ran.max(1) as f64;
        [stops.rest_v, stops.rest_irradiance, stops.rest_module_c, stops.rest_level_m] =
            self.rest.map(Mean::value);
        stops
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
