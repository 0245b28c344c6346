//! The rhythm of a controller that stops itself: never runs, runs a moment, or runs for a good part of the time.

use wellwright_domain::cause::Cause;

use crate::causes::Hypothesis;
use crate::likelihood::ln_beta_density;
use crate::window::{Look, Outcome};

/// Below this share of the time it counts as never running.
const NEVER: f64 = 0.012;

/// Flow still passing, below which a valve or riser is shut.
const SHUT: f64 = 0.02;

/// How often it never runs, and the beta distribution of the share of time in which it does otherwise
/// (engineering judgement).
struct Rhythm {
    never: f64,
    a: f64,
    b: f64,
}

impl Rhythm {
    /// Mean share of the time in which it runs.
    fn mean(&self) -> f64 {
        (1.0 - self.never) * self.a / (self.a + self.b)
    }
}

/// Share of the time in which a pump that stops itself runs, under a hypothesis.
pub fn usual_share(h: &Hypothesis) -> f64 {
    of(h).mean()
}

fn of(h: &Hypothesis) -> Rhythm {
    match h.cause {
        Cause::FalseDrySignal => Rhythm { never: 0.85, a: 1.0, b: 1.4 },
        // empties what has come back, then waits
        Cause::DryRunning => Rhythm { never: 0.4, a: 1.0, b: 3.5 },
        Cause::WellYieldLimit => {
            let share = h.severity.unwrap_or(0.5);
            Rhythm { never: 0.03, a: 0.8 + 3.0 * share, b: 0.8 + 3.0 * (1.0 - share) }
        }
        // it holds back long before it stops, and cools within minutes
        Cause::ControllerOverheating => Rhythm { never: 0.05, a: 1.2, b: 1.0 },
        Cause::SeizedPump | Cause::OpenPhase | Cause::ControllerFailed => {
            Rhythm { never: 0.75, a: 1.0, b: 4.0 }
        }
        // shut right off, the pressure stops it within a turn or two
        Cause::ClosedValve | Cause::BlockedRiser if h.severity.is_some_and(|passes| passes < SHUT) => {
            Rhythm { never: 0.6, a: 1.0, b: 4.0 }
        }
        Cause::Unknown => Rhythm { never: 0.3, a: 1.0, b: 1.0 },
        _ => Rhythm { never: 0.2, a: 0.9, b: 2.5 },
    }
}

/// Stops of which a controller says nothing, again and again: so often under a cause, and how much more seldom each
/// one beyond two is (engineering judgement).
fn silent_again(cause: Cause) -> (f64, f64) {
    match cause {
        Cause::Unknown => (0.2, 1.0),
        Cause::ControllerFailed => (0.1, 0.9),
        Cause::NoDcSupply => (0.05, 0.8),
        _ => (0.004, 0.3),
    }
}

/// More than so many say no more.
const OFTEN: usize = 6;

/// log likelihood of stops without a word.
pub fn without_a_word(look: &Look, cause: Cause) -> f64 {
    let (again, more) = silent_again(cause);
    match look.stops.silent.min(OFTEN) {
        0 | 1 => (1.0 - again).ln(),
        n => again.ln() + (n - 2) as f64 * f64::ln(more),
    }
}

/// A float that hangs lets go by itself so often, and a tank that is full empties so often in a window (engineering
/// judgement: days of use against hours of looking).
const LETS_GO: f64 = 0.06;
const EMPTIES: f64 = 0.3;

/// log likelihood of signals of a full tank that end, or do not.
pub fn of_full_tank(look: &Look, cause: Cause) -> f64 {
    if look.stops.emptied + look.stops.count(Outcome::TankFull) == 0 {
        return 0.0;
    }
    let p: f64 = if cause == Cause::StuckFloat { LETS_GO } else { EMPTIES };
    if look.stops.emptied > 0 { p.ln() } else { (1.0 - p).ln() }
}

/// Share of the time in which it ran beside a protective stop; `None` when none was `seen`.
pub fn ran_between_trips(look: &Look, seen: Option<Outcome>) -> Option<f64> {
    let trip = seen.filter(|o| o.is_trip())?;
    if stays_off(look) {
        return Some(0.0);
    }
    let ran = look.stops.count(Outcome::Runs) as f64;
    Some(ran / (ran + look.stops.count_maybe(trip) as f64).max(1.0))
}

/// It stopped once and never ran since: what it ran before that was no part of a rhythm.
fn stays_off(look: &Look) -> bool {
    look.stops.trips == 1 && look.stops.stays_tripped()
}

/// log likelihood of that share.
pub fn between_trips(look: &Look, seen: Option<Outcome>, h: &Hypothesis) -> f64 {
    let Some(share) = ran_between_trips(look, seen) else { return 0.0 };
    let rhythm = of(h);
    if share < NEVER {
        return rhythm.never.ln();
    }
    (1.0 - rhythm.never).ln() + 0.7 * ln_beta_density(share, rhythm.a, rhythm.b)
}
