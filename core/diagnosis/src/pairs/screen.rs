//! What a pair promises, from what its two say alone: near enough to choose the few that are worth the full way.
//!
//! Seen from a healthy plant, the readings on the load side move by the sum of what each moves them; their
//! covariance is taken as that of the healthy plant. All other parts add.

use crate::likelihood::{held, log_sum_exp};
use crate::rank::tempered;
use crate::score::{Parts, Scored};

/// Hypotheses as moves away from the healthy plant.
pub struct Screen<'s> {
    healthy: &'s Scored,
    list: Vec<Move<'s>>,
    rows: f64,
    /// Squared distance of the healthy plant.
    still: f64,
}

/// One hypothesis.
struct Move<'s> {
    scored: &'s Scored,
    /// How it moves the predictions of the load side.
    by: Vec<f64>,
    /// The same, weighed.
    weighed: Vec<f64>,
    /// What its move takes off the healthy plant's residuals: weighed product with them.
    with_residual: f64,
    /// Squared length of the move.
    length: f64,
    /// What its own errors say beyond those of the healthy plant.
    beyond: f64,
    /// Load side if nothing were left to explain.
    at_best: f64,
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

impl<'s> Screen<'s> {
    /// Looks at these hypotheses; those whose rows are not the healthy plant's are left out.
    pub fn new(healthy: &'s Scored, chosen: &[&'s Scored]) -> Screen<'s> {
        let residual = healthy.load.errors.residuals();
        let fitting = chosen.iter().filter(|s| s.load.errors.len() == residual.len());
        let moves: Vec<(&Scored, Vec<f64>)> = fitting
            .map(|s| {
                let by = residual.iter().zip(s.load.errors.residuals()).map(|(h, r)| h - r).collect();
                (*s, by)
            })
            .collect();
        let mut vectors: Vec<Vec<f64>> = moves.iter().map(|m| m.1.clone()).collect();
        vectors.push(residual.to_vec());
        let mut weighed = healthy.load.errors.weighed(&vectors);
        let still = weighed.pop().map_or(0.0, |w| dot(&w, residual));
        let rows = residual.len() as f64;
        let list = moves
            .into_iter()
            .zip(weighed)
            .map(|((scored, by), weighed)| {
                let (with_residual, length) = (dot(&weighed, residual), dot(&weighed, &by));
                let alone = -0.5 * (held(still - 2.0 * with_residual + length, rows) - held(still, rows));
                let beyond = scored.parts.load - healthy.parts.load - alone;
                let at_best = scored.parts.load + 0.5 * held(rows * scored.load.errors.misfit(), rows);
                Move { scored, by, weighed, with_residual, length, beyond, at_best }
            })
            .collect();
        Screen { healthy, list, rows, still }
    }

    /// Number of hypotheses.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// One hypothesis.
    pub fn scored(&self, k: usize) -> &'s Scored {
        self.list[k].scored
    }

    /// What the best part of a hypothesis gains over the healthy plant, natural log.
    pub fn best_part(&self, k: usize) -> f64 {
        let of = |p: &Parts| {
            let p = tempered(p);
            let sun = p.sun + p.held + p.impossible;
            [p.load, sun, p.unbalance, p.outcome, p.noticed, p.still, p.starts, p.heat, p.checks]
        };
        let (own, healthy) = (of(&self.list[k].scored.parts), of(&self.healthy.parts));
        own.iter().zip(healthy).map(|(a, b)| a - b).fold(f64::NEG_INFINITY, f64::max)
    }

    /// About the parts of the log likelihood of two at once.
    pub fn both(&self, i: usize, j: usize) -> Parts {
        let (a, b) = (&self.list[i], &self.list[j]);
        let m2 = self.still - 2.0 * (a.with_residual + b.with_residual)
            + a.length
            + b.length
            + 2.0 * dot(&a.by, &b.weighed);
        let moved = -0.5 * (held(m2.max(0.0), self.rows) - held(self.still, self.rows));
        // the errors of two faults are wider once, not twice; and no plant fits better than perfectly
        let beyond = if a.beyond.abs() > b.beyond.abs() { a.beyond } else { b.beyond };
        let load = (self.healthy.parts.load + moved + beyond).min(a.at_best.max(b.at_best));
        let (x, y, h) = (&a.scored.parts, &b.scored.parts, &self.healthy.parts);
        let add = |of: fn(&Parts) -> f64| of(x) + of(y) - of(h);
        let mean = |of: fn(&Parts) -> f64| log_sum_exp([of(x), of(y)]) - 2f64.ln();
        Parts {
            load,
            sun: add(|p| p.sun),
            unbalance: add(|p| p.unbalance),
            outcome: add(|p| p.outcome).min(0.0),
            noticed: mean(|p| p.noticed),
            warned: mean(|p| p.warned),
            parity: add(|p| p.parity),
            resting: mean(|p| p.resting),
            still: add(|p| p.still),
            rhythm: mean(|p| p.rhythm),
            unsteady: mean(|p| p.unsteady),
            starts: add(|p| p.starts),
            heat: mean(|p| p.heat),
            held: add(|p| p.held),
            impossible: mean(|p| p.impossible),
            checks: add(|p| p.checks),
        }
    }
}
