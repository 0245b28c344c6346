//! The numbers over all judged cases.

use std::collections::BTreeMap;

use serde::Serialize;
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::Verdict;
use wellwright_domain::record::PumpKind;

use super::judge::Judged;
use super::plan::{Plan, Set};
use super::stats::{Calibration, Share, calibration};
use super::walk::Walks;
use crate::plant::SensorSet;

mod alarms;
mod open;
mod targets;
mod walked;

pub use alarms::{Alarms, Blameless};
pub use open::{Open, Stranger};
pub use targets::{Bound, Target};
pub use walked::{Order, Walked};

/// How often the true cause came first, and within the first three.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Places {
    /// First.
    pub first: Share,
    /// Within the first three.
    pub three: Share,
}

impl Places {
    /// Over places from 1.
    pub fn of(places: impl Iterator<Item = usize>) -> Places {
        let places: Vec<usize> = places.collect();
        let within = |k: usize| Share::count(places.iter(), |p| *p <= k);
        Places { first: within(1), three: within(3) }
    }
}

/// Places of one set of sensors, telemetry alone and after a few checks.
#[derive(Debug, Clone, Serialize)]
pub struct BySensors {
    /// Word of the set.
    pub sensors: &'static str,
    /// Telemetry and situation alone.
    pub alone: Places,
    /// After at most four suggested checks without a lift.
    pub after_few: Places,
}

/// Places of one cause.
#[derive(Debug, Clone, Serialize)]
pub struct ByCause {
    /// True cause.
    pub cause: Cause,
    /// All sensors.
    pub all: Places,
    /// By set of sensors, as [`SensorSet::ALL`].
    pub by_sensors: [Places; 3],
    /// What came first instead, and how often, most often first; the true cause among them.
    pub led: Vec<(Cause, usize)>,
    /// Called `too_little`.
    pub too_little: Share,
}

/// Verdicts given to one kind of truth.
#[derive(Debug, Clone, Serialize)]
pub struct Verdicts {
    /// `healthy`, `low_sun`, `standing_by`, `fault` or `unknown`.
    pub truth: &'static str,
    /// Healthy, fault, standing by, too little.
    pub given: [usize; 4],
}

/// How `too_little` was used.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct TooLittle {
    /// Of all cases.
    pub given: Share,
    /// Of those, the true cause stood first all the same.
    pub first: Share,
    /// Of those, it stood within the first three.
    pub three: Share,
    /// Of all cases with a wrong first cause, so many were called `too_little`.
    pub caught: Share,
}

/// One mix of causes.
#[derive(Debug, Clone, Serialize)]
pub struct Mixed {
    /// Telemetry and situation alone.
    pub all: Places,
    /// By sensors.
    pub by_sensors: Vec<BySensors>,
    /// Centrifugal, helical rotor.
    pub by_kind: [Places; 2],
    /// By true cause, in the order of the contract.
    pub by_cause: Vec<ByCause>,
    /// Of the first cause's probability.
    pub calibration: Option<Calibration>,
    /// Verdicts by kind of truth.
    pub verdicts: Vec<Verdicts>,
    /// Too little.
    pub too_little: TooLittle,
    /// With checks.
    pub walked: Option<Walked>,
}

/// The systems that were met.
#[derive(Debug, Clone, Serialize)]
pub struct Systems {
    /// One a case.
    pub count: usize,
    /// Families.
    pub families: usize,
    /// With a helical rotor.
    pub helical: usize,
    /// Array voltage, V.
    pub volts: [f64; 2],
    /// Array power, W.
    pub watts: [f64; 2],
}

/// Everything.
#[derive(Debug, Clone, Serialize)]
pub struct Summary {
    /// What was made.
    pub plan: Plan,
    /// Seeds by set.
    pub seeds: Vec<(Set, u64)>,
    /// Systems.
    pub systems: Systems,
    /// Every cause as often.
    pub uniform: Option<Mixed>,
    /// As often as the priors say.
    pub priors: Option<Mixed>,
    /// Alarms where nothing is wrong.
    pub alarms: Alarms,
    /// Each cause left out of the catalogue in turn.
    pub left_out: Open,
    /// Mechanisms that the catalogue never held.
    pub outside: Open,
    /// One look without checks, ms: mean, 95 of 100, longest.
    pub explain_ms: [f64; 3],
    /// Seconds that all took.
    pub took_s: f64,
}

fn by_cause(cases: &[&Judged]) -> Vec<ByCause> {
    let mut out = Vec::new();
    for cause in Cause::ALL {
        let own: Vec<&&Judged> = cases.iter().filter(|j| j.cause == *cause).collect();
        if own.is_empty() {
            continue;
        }
        let mut led: BTreeMap<Cause, usize> = BTreeMap::new();
        for j in &own {
            *led.entry(j.first().0).or_default() += 1;
        }
        let mut led: Vec<(Cause, usize)> = led.into_iter().collect();
        led.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        let with = |word: &str| Places::of(own.iter().filter(|j| j.sensors == word).map(|j| j.place));
        out.push(ByCause {
            cause: *cause,
            all: Places::of(own.iter().map(|j| j.place)),
            by_sensors: SensorSet::ALL.map(|s| with(s.word())),
            led,
            too_little: Share::count(own.iter(), |j| j.verdict == Verdict::TooLittle),
        });
    }
    out
}

fn verdicts(cases: &[&Judged]) -> Vec<Verdicts> {
    let kind = |c: Cause| match c {
        Cause::Healthy => "healthy",
        Cause::LowSun => "low_sun",
        Cause::StandingBy => "standing_by",
        Cause::Unknown => "unknown",
        _ => "fault",
    };
    ["healthy", "low_sun", "standing_by", "fault", "unknown"]
        .into_iter()
        .map(|truth| {
            let mut given = [0; 4];
            for j in cases.iter().filter(|j| kind(j.cause) == truth) {
                given[j.verdict as usize] += 1;
            }
            Verdicts { truth, given }
        })
        .filter(|v| v.given.iter().sum::<usize>() > 0)
        .collect()
}

fn too_little(cases: &[&Judged]) -> TooLittle {
    let little = |j: &&Judged| j.verdict == Verdict::TooLittle;
    let own = || cases.iter().filter(|j| little(j));
    TooLittle {
        given: Share::count(cases.iter(), little),
        first: Share::count(own(), |j| j.place == 1),
        three: Share::count(own(), |j| j.place <= 3),
        caught: Share::count(cases.iter().filter(|j| j.place != 1), little),
    }
}

/// Numbers of one mix; `None` without cases.
pub fn mixed(cases: &[&Judged]) -> Option<Mixed> {
    if cases.is_empty() {
        return None;
    }
    let by_sensors = SensorSet::ALL
        .into_iter()
        .map(|s| {
            let own = cases.iter().filter(|j| j.sensors == s.word());
            let few = own.clone().filter_map(|j| j.walks.as_ref()).map(|w: &Walks| w.place_after_few);
            BySensors {
                sensors: s.word(),
                alone: Places::of(own.map(|j| j.place)),
                after_few: Places::of(few),
            }
        })
        .collect();
    let of_kind = |kind: PumpKind| Places::of(cases.iter().filter(|j| j.kind == kind).map(|j| j.place));
    let pairs: Vec<(f64, bool)> = cases.iter().map(|j| (j.first().1, j.right())).collect();
    Some(Mixed {
        all: Places::of(cases.iter().map(|j| j.place)),
        by_sensors,
        by_kind: [PumpKind::Centrifugal, PumpKind::HelicalRotor].map(of_kind),
        by_cause: by_cause(cases),
        calibration: calibration(&pairs),
        verdicts: verdicts(cases),
        too_little: too_little(cases),
        walked: Walked::of(cases),
    })
}

fn systems(cases: &[Judged]) -> Systems {
    let range = |of: fn(&Judged) -> f64| {
        let (low, high) = cases
            .iter()
            .map(of)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        [low, high]
    };
    let families: std::collections::BTreeSet<&str> = cases.iter().map(|j| j.family).collect();
    Systems {
        count: cases.len(),
        families: families.len(),
        helical: cases.iter().filter(|j| j.kind == PumpKind::HelicalRotor).count(),
        volts: range(|j| j.array_v),
        watts: range(|j| j.array_w),
    }
}

impl Summary {
    /// Of everything judged.
    pub fn of(plan: &Plan, cases: &[Judged], took_s: f64) -> Summary {
        let set = |set: Set| -> Vec<&Judged> { cases.iter().filter(|j| j.set == set).collect() };
        let mut ms: Vec<f64> = cases.iter().map(|j| j.explain_ms).collect();
        ms.sort_by(f64::total_cmp);
        let at = |q: f64| ms.get((q * ms.len().saturating_sub(1) as f64) as usize).copied().unwrap_or(0.0);
        Summary {
            plan: plan.clone(),
            seeds: Set::ALL.into_iter().map(|s| (s, plan.seed(s))).collect(),
            systems: systems(cases),
            uniform: mixed(&set(Set::Uniform)),
            priors: mixed(&set(Set::Priors)),
            alarms: Alarms::of(cases),
            left_out: Open::left_out(cases),
            outside: Open::outside(cases),
            explain_ms: [ms.iter().sum::<f64>() / ms.len().max(1) as f64, at(0.95), at(1.0)],
            took_s,
        }
    }
}
