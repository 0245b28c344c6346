//! What is believed once everything is weighed: single causes and pairs, inside one sum of 1.

use wellwright_domain::cause::Cause;
use wellwright_domain::finding::CausePair;

use crate::pairs;
use crate::rank::{CauseScore, rank};
use crate::score::{Memo, Scored, Scorer};

/// See the module.
pub struct Belief<'s> {
    /// Single causes, most probable first.
    pub ranked: Vec<CauseScore<'s>>,
    /// Two causes at once.
    pub pairs: Vec<CausePair>,
}

impl<'s> Belief<'s> {
    /// Weighs what was scored, and the pairs that are worth it. `memo`: as of the score.
    pub fn new(scorer: &Scorer, scored: &'s [Scored], memo: &mut Memo) -> Belief<'s> {
        let mut ranked = rank(scored);
        let found = pairs::search(scorer, &ranked, memo);
        let pairs = pairs::inside_the_sum(&mut ranked, &found);
        Belief { ranked, pairs }
    }

    /// Probability of a cause, alone or with another.
    pub fn of(&self, cause: Cause) -> f64 {
        let alone = self.ranked.iter().find(|r| r.cause == cause).map_or(0.0, |r| r.probability);
        alone + self.of_pairs(cause)
    }

    fn of_pairs(&self, cause: Cause) -> f64 {
        self.pairs.iter().filter(|p| p.codes.contains(&cause)).map(|p| p.probability).sum()
    }

    /// Faults by probability, most probable first; a pair counts as one, by its first cause.
    pub fn order(&self) -> Vec<(Cause, f64)> {
        let mut order: Vec<(Cause, f64)> = self.ranked.iter().map(|r| (r.cause, r.probability)).collect();
        order.extend(self.pairs.iter().map(|p| (p.codes[0], p.probability)));
        order.sort_by(|a, b| b.1.total_cmp(&a.1));
        order
    }

    /// The ranking with what the pairs hold given to their causes, half each: for the next check one of two is found
    /// first.
    pub fn shared_out(&self) -> Vec<CauseScore<'s>> {
        let mut out = self.ranked.clone();
        for c in &mut out {
            c.probability += 0.5 * self.of_pairs(c.cause);
        }
        out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        out
    }
}
