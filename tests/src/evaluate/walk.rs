//! Checks made one after the other at a case, answered by hand, until the cause stands out.
//!
//! Three orders at the same case with the same answers: as suggested, as in the textbook, at random (the lift last,
//! which favours it). All stop when the first cause has [`ENOUGH`], or when nothing is left to do. What an order
//! costs is the minutes of its checks, tools and crew included, and a lift more when it ends at a wrong cause.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::finding::Finding;

use super::judge::look;
use super::textbook;
use crate::plant::hand::{answer, dice};
use crate::plant::{Case, dice::Dice};

/// Probability of the first cause at which a person stops asking.
pub const ENOUGH: f64 = 0.9;

/// Minutes of one person for a lift: four hours of a crew of three (common practice, no single source).
pub const LIFT_MIN: f64 = 720.0;

/// Most checks by suggestion.
const MOST: usize = 14;

/// Checks before which no pump is lifted.
pub const FEW: usize = 4;

/// What a finding says, in short.
#[derive(Debug, Clone)]
struct Brief {
    first: Cause,
    probability: f64,
    place: usize,
    next: Vec<(Check, f64)>,
}

impl Brief {
    fn of(finding: &Finding, truth: Cause) -> Brief {
        let place = finding.causes.iter().position(|c| c.code == truth).map_or(99, |p| p + 1);
        Brief {
            first: finding.causes.first().map_or(Cause::Unknown, |c| c.code),
            probability: finding.causes.first().map_or(0.0, |c| c.probability),
            place,
            next: finding.next_checks.iter().map(|n| (n.code, n.cost)).collect(),
        }
    }
}

/// A case with the answers given so far and what was said after each set of them.
struct Site<'a> {
    case: &'a Case,
    answers: BTreeMap<Check, Option<CheckMade>>,
    said: BTreeMap<BTreeSet<Check>, Brief>,
}

impl Site<'_> {
    fn answer(&mut self, check: Check) -> bool {
        let case = self.case;
        let made = || answer(case, check, &mut dice(case, check as u64));
        self.answers.entry(check).or_insert_with(made).is_some()
    }

    fn say(&mut self, made: &BTreeSet<Check>) -> Brief {
        if let Some(brief) = self.said.get(made) {
            return brief.clone();
        }
        let answers: Vec<CheckMade> =
            made.iter().filter_map(|c| self.answers.get(c)?.as_ref()).cloned().collect();
        let brief = Brief::of(&look(self.case, &answers, &[]), self.case.cause);
        self.said.insert(made.clone(), brief.clone());
        brief
    }
}

/// How one order went.
#[derive(Debug, Clone, Serialize)]
pub struct Walked {
    /// Checks in the order made; those that turned out impossible are not counted.
    pub checks: Vec<Check>,
    /// Minutes of one person until it stopped.
    pub minutes: f64,
    /// Cause that stood first then.
    pub first: Cause,
    /// Its probability.
    pub probability: f64,
    /// Place of the true cause then.
    pub place: usize,
    /// The pump was lifted.
    pub lifted: bool,
}

impl Walked {
    /// Minutes until the right cause is known: a wrong one costs a lift more.
    pub fn minutes_to_right(&self) -> f64 {
        self.minutes + if self.place == 1 { 0.0 } else { LIFT_MIN }
    }

    /// Lifted although the true cause sits elsewhere.
    pub fn needless_lift(&self, truth: Cause) -> bool {
        self.lifted && truth.info().pump_out == PumpOut::No
    }

    /// Not lifted, and ended at a cause that would leave it down, although it must come out.
    pub fn missed_lift(&self, truth: Cause) -> bool {
        truth.info().pump_out == PumpOut::Yes
            && !self.lifted
            && self.place != 1
            && self.first.info().pump_out == PumpOut::No
    }
}

/// All that was tried at one case.
#[derive(Debug, Clone, Serialize)]
pub struct Walks {
    /// As suggested.
    pub suggested: Walked,
    /// As in the textbook.
    pub textbook: Walked,
    /// At random.
    pub random: Walked,
    /// Place of the true cause after at most four suggested checks and no lift.
    pub place_after_few: usize,
    /// Probability of the first cause then.
    pub probability_after_few: f64,
    /// Checks made until then.
    pub few: Vec<Check>,
}

fn go(site: &mut Site, mut choose: impl FnMut(&Brief, &BTreeSet<Check>) -> Option<(Check, f64)>) -> Walked {
    let (mut tried, mut made) = (BTreeSet::new(), BTreeSet::new());
    let (mut checks, mut minutes) = (Vec::new(), 0.0);
    let mut said = site.say(&made);
    while said.probability < ENOUGH
        && let Some((check, cost)) = choose(&said, &tried)
    {
        tried.insert(check);
        if site.answer(check) {
            made.insert(check);
            checks.push(check);
            minutes += cost;
            said = site.say(&made);
        }
    }
    Walked {
        lifted: checks.contains(&Check::PullPump),
        checks,
        minutes,
        first: said.first,
        probability: said.probability,
        place: said.place,
    }
}

fn cost(check: Check) -> f64 {
    if check == Check::PullPump { LIFT_MIN } else { check.info().minutes }
}

fn few(site: &mut Site) -> (Brief, Vec<Check>) {
    let (mut tried, mut made) = (BTreeSet::new(), BTreeSet::new());
    let mut checks = Vec::new();
    let mut said = site.say(&made);
    while checks.len() < FEW {
        let next = said.next.iter().map(|n| n.0).find(|c| *c != Check::PullPump && !tried.contains(c));
        let Some(check) = next else { break };
        tried.insert(check);
        if site.answer(check) {
            made.insert(check);
            checks.push(check);
            said = site.say(&made);
        }
    }
    (said, checks)
}

/// Tries all orders at a case.
pub fn walks(case: &Case) -> Walks {
    let mut site = Site { case, answers: BTreeMap::new(), said: BTreeMap::new() };
    let suggested = go(&mut site, |said, tried| {
        said.next.iter().copied().find(|(c, _)| !tried.contains(c)).filter(|_| tried.len() < MOST)
    });
    let in_order = |order: Vec<Check>| {
        move |_: &Brief, tried: &BTreeSet<Check>| {
            order.iter().copied().find(|c| !tried.contains(c)).map(|c| (c, cost(c)))
        }
    };
    let textbook = go(&mut site, in_order(textbook::order()));
    let random = go(&mut site, in_order(shuffled(&mut dice(case, 1_000))));
    let (after, checks) = few(&mut site);
    Walks {
        suggested,
        textbook,
        random,
        place_after_few: after.place,
        probability_after_few: after.probability,
        few: checks,
    }
}

/// Every check at random, the lift last.
fn shuffled(dice: &mut Dice) -> Vec<Check> {
    let mut left: Vec<Check> = Check::ALL.iter().copied().filter(|c| *c != Check::PullPump).collect();
    let mut order = Vec::with_capacity(Check::ALL.len());
    while !left.is_empty() {
        let k = dice.int(0, left.len() - 1);
        order.push(left.swap_remove(k));
    }
    order.push(Check::PullPump);
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn walked(first: Cause, place: usize, lifted: bool) -> Walked {
        Walked { checks: Vec::new(), minutes: 30.0, first, probability: 0.95, place, lifted }
    }

    #[test]
    fn a_wrong_end_costs_a_lift() {
        assert_eq!(walked(Cause::WornPump, 1, false).minutes_to_right(), 30.0);
        assert_eq!(walked(Cause::WornPump, 2, false).minutes_to_right(), 750.0);
    }

    #[test]
    fn lifts_that_were_needless_or_missed() {
        assert!(walked(Cause::ClosedValve, 1, true).needless_lift(Cause::ClosedValve));
        assert!(!walked(Cause::WornPump, 1, true).needless_lift(Cause::WornPump));
        assert!(walked(Cause::ClosedValve, 2, false).missed_lift(Cause::WornPump));
        assert!(!walked(Cause::WornPump, 1, false).missed_lift(Cause::WornPump));
    }

    #[test]
    fn a_random_order_holds_every_check() {
        let mut order = shuffled(&mut Dice::new(1, 2, 3));
        assert_eq!(order.last(), Some(&Check::PullPump));
        order.sort();
        assert_eq!(order, Check::ALL);
    }
}
