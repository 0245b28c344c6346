//! What physics allows: the same question answered by somebody who has the true plant.
//!
//! At a few sites (one record, one time of day, one kind of sky) many recordings of each cause are made by the
//! plant that also made the case: true equations, true tolerances, instruments and weather drawn anew. Each
//! recording becomes a row of numbers ([`features`]); how likely such a row is under each cause is learnt from the
//! others, by densities ([`density`]) and by trees ([`forest`]); the causes are then ranked with the priors of the
//! mix. No recording is asked of what has learnt from it. The ranking is asked about the same recordings.
//!
//! Its limits: it sees a summary of the rows, not the rows; it has some hundreds of references a cause, so it errs
//! where a cause shows itself in more than a few ways; it is never better than its summary. Where the ranking does
//! better than the oracle, the oracle was short of references or of features: it is a floor under what physics
//! allows, not a ceiling. It knows the site's record, kind of day and hour to within an hour and a half.

pub mod density;
pub mod features;
mod forest;
mod linear;
pub mod report;
pub mod site;

use serde::Serialize;
use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Situation;

use self::density::{Density, Example, Mixing, Parts, log_situation};
use self::features::features;
use self::linear::log_sum_exp;
use self::site::{Place, strip};
use super::judge::look;
use super::plan::Split;
use super::work;
use crate::plant::site::make_at;
use crate::plant::{Case, Order, SensorSet, faults};

pub use report::{OracleReport, report};

/// Tenths that are held back in turn.
const FOLDS: usize = 10;

/// How much.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OraclePlan {
    /// Split; its seed decides sites and recordings.
    pub split: Split,
    /// Sites.
    pub sites: usize,
    /// Recordings of each cause at each site.
    pub references: u64,
    /// Of those, the ranking is asked about so many, each with one set of sensors.
    pub asked: u64,
}

/// One recording with one set of sensors, asked of both.
#[derive(Debug, Clone, Serialize)]
pub struct Asked {
    /// Site.
    pub site: usize,
    /// True cause.
    pub cause: Cause,
    /// Situation.
    pub situation: Situation,
    /// Sensors.
    pub sensors: &'static str,
    /// Place that the oracle gives to the true cause when all are as likely before.
    pub oracle: usize,
    /// Its probability then.
    pub oracle_probability: f64,
    /// Place that the oracle gives with the contract's priors.
    pub oracle_by_priors: usize,
    /// Place that the ranking gives; only where it was asked.
    pub ranking: Option<usize>,
}

/// A recording and its row of numbers with each set of sensors.
struct Recorded {
    rows: [Example; 3],
    ranking: Option<(usize, usize)>,
}

/// Site number `n` of a split.
pub fn place(seed: u64, n: usize) -> Place {
    Place::draw(seed + 50, n)
}

/// Recording `k` of `references` of a cause at site number `n` of a split.
fn order(seed: u64, n: usize, (cause, c): (Cause, u64), k: u64, references: u64) -> Order {
    // The three sets of sensors in turn for each cause.
    let index = (c * references + k) * 3 + (k + c) % 3;
    Order {
        seed: seed + 51 + n as u64,
        index,
        cause: Some(cause),
        sensors: Some(SensorSet::Full),
        ..Order::default()
    }
}

/// One draw of a recording, with all sensors.
fn draw(place: &Place, order: &Order) -> Option<Case> {
    // Some draws cannot be (the tank fills, too much sun): a few more are tried.
    (0..12).find_map(|again| {
        let index = order.index + again * 1_000_000;
        make_at(&place.site, &Order { index, ..*order })
    })
}

/// The set of sensors with which the ranking is asked about a recording: it takes long, so with one only.
fn asked_with(order: &Order) -> usize {
    order.index as usize % 3
}

/// What the ranking is asked about at a site, one after the other: every cause in turn.
pub fn asked_of(place: &Place, seed: u64, n: usize, number: u64, references: u64) -> Option<Case> {
    let causes = faults::ALL.len() as u64;
    let (c, k) = (number % causes, number / causes);
    let order = order(seed, n, (faults::ALL[c as usize].cause, c), k, references);
    Some(strip(&draw(place, &order)?, SensorSet::ALL[asked_with(&order)]))
}

fn record(place: &Place, order: &Order, asked: bool) -> Option<Recorded> {
    let case = draw(place, order)?;
    let cases: [Case; 3] = SensorSet::ALL.map(|set| strip(&case, set));
    let rows = [0, 1, 2].map(|k| Example {
        cause: case.cause,
        severity: case.severity,
        situation: case.circumstances.situation,
        features: features(&cases[k], place.flow_size),
    });
    let k = asked_with(order);
    let ranking = (asked && SensorSet::ALL[k].can_show(case.cause)).then(|| {
        let finding = look(&cases[k], &[], &[]);
        let place = finding.causes.iter().position(|c| c.code == case.cause).map_or(99, |p| p + 1);
        (k, place)
    });
    Some(Recorded { rows, ranking })
}

fn place_of(cause: Cause, logs: &[(Cause, f64)]) -> usize {
    let own = logs.iter().find(|l| l.0 == cause).map_or(f64::NEG_INFINITY, |l| l.1);
    1 + logs.iter().filter(|l| l.1 > own).count()
}

/// log posterior up to a constant with every cause as likely.
fn even(parts: &[Parts], mixing: Mixing, situation: Situation) -> Vec<(Cause, f64)> {
    parts.iter().map(|p| (p.cause, mixing.log(p, situation))).collect()
}

/// The same with the contract's priors of the situation.
fn by_priors(parts: &[Parts], mixing: Mixing, situation: Situation) -> Vec<(Cause, f64)> {
    let prior = |c: Cause| c.prior_weight(situation).max(1e-9).ln() - log_situation(c, situation);
    parts.iter().map(|p| (p.cause, mixing.log(p, situation) + prior(p.cause))).collect()
}

fn probability(cause: Cause, logs: &[(Cause, f64)]) -> f64 {
    let all: Vec<f64> = logs.iter().map(|l| l.1).collect();
    let own = logs.iter().find(|l| l.0 == cause).map_or(f64::NEG_INFINITY, |l| l.1);
    (own - log_sum_exp(&all)).exp()
}

/// All recordings of a site with one set of sensors: what the oracle says of each, learnt from other tenths.
fn ask(site: usize, k: usize, recorded: &[Recorded]) -> Vec<Asked> {
    let set = SensorSet::ALL[k];
    let own: Vec<(usize, &Recorded)> =
        recorded.iter().enumerate().filter(|(_, r)| set.can_show(r.rows[k].cause)).collect();
    let mut all: Vec<(usize, Vec<Parts>)> = Vec::new();
    for fold in 0..FOLDS {
        // Recordings of a cause follow each other, so that every tenth holds some of each.
        let held = |n: usize| n % FOLDS == fold;
        let learnt: Vec<&Example> =
            own.iter().enumerate().filter(|(n, _)| !held(*n)).map(|(_, (_, r))| &r.rows[k]).collect();
        let mut density = Density::learn(&learnt);
        for (_, (at, r)) in own.iter().enumerate().filter(|(n, _)| held(*n)) {
            all.push((*at, density.parts(&r.rows[k].features)));
        }
    }
    let examples: Vec<&Example> = own.iter().map(|(_, r)| &r.rows[k]).collect();
    let causes: Vec<Cause> =
        all.first().map_or(Vec::new(), |(_, parts)| parts.iter().map(|p| p.cause).collect());
    let told = forest::unseen(&examples, &causes, site as u64);
    for (at, parts) in &mut all {
        let Some(n) = own.iter().position(|(own, _)| own == at) else { continue };
        for (part, log) in parts.iter_mut().zip(&told[n]) {
            part.forest = *log;
        }
    }
    let row = |at: usize| &recorded[at].rows[k];
    let score = |m: Mixing| -> f64 {
        let one = |(at, parts): &(usize, Vec<Parts>)| {
            let e = row(*at);
            probability(e.cause, &even(parts, m, e.situation)).max(1e-6).ln()
        };
        all.iter().map(one).sum()
    };
    let scored = Mixing::all().into_iter().map(|m| (m, score(m)));
    let Some((mixing, _)) = scored.max_by(|a, b| a.1.total_cmp(&b.1)) else { return Vec::new() };
    all.iter()
        .map(|(at, parts)| {
            let e = row(*at);
            let logs = even(parts, mixing, e.situation);
            Asked {
                site,
                cause: e.cause,
                situation: e.situation,
                sensors: set.word(),
                oracle: place_of(e.cause, &logs),
                oracle_probability: probability(e.cause, &logs),
                oracle_by_priors: place_of(e.cause, &by_priors(parts, mixing, e.situation)),
                ranking: recorded[*at].ranking.filter(|(with, _)| *with == k).map(|(_, place)| place),
            }
        })
        .collect()
}

/// Makes the recordings of all sites and asks both.
pub fn oracle(plan: &OraclePlan, threads: usize) -> OracleReport {
    let seed = plan.split.seed();
    let places: Vec<Place> = (0..plan.sites).map(|n| place(seed, n)).collect();
    let mut asked = Vec::new();
    for (n, place) in places.iter().enumerate() {
        let mut orders = Vec::new();
        for (c, fault) in faults::ALL.iter().enumerate() {
            for k in 0..plan.references {
                let order = order(seed, n, (fault.cause, c as u64), k, plan.references);
                orders.push((order, k < plan.asked));
            }
        }
        let made =
            work::parallel("references", &orders, threads, |(order, asked)| record(place, order, *asked));
        let recorded: Vec<Recorded> = made.into_iter().flatten().collect();
        for part in work::parallel("oracle", &[0, 1, 2], threads, |k| ask(n, *k, &recorded)) {
            asked.extend(part);
        }
    }
    report(plan, &places.iter().map(Place::words).collect::<Vec<_>>(), &asked)
}
