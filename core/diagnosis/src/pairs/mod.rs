//! Two causes at once, where a pair explains clearly more than either alone.
//!
//! Searched only among the plausible: the few causes that gain most over a healthy plant on any one part (load,
//! array, currents, stops, starts, checks), because one of two may look poor alone. A pair is first judged by what
//! its two say alone ([`screen`]); the few that promise to explain clearly more go the full way with both changes in
//! one plant ([`merge`]), through the same score as single causes. So a plain case costs nothing here.

mod merge;
mod screen;

use wellwright_domain::cause::Cause;
use wellwright_domain::finding::CausePair;

use crate::causes::Hypothesis;
use crate::checks::{self, Prediction};
use crate::likelihood::log_sum_exp;
use crate::rank::{CauseScore, DOUBT, log_share, tempered};
use crate::score::{Memo, Parts, Scored, Scorer};

use screen::Screen;

/// A pair explains clearly more from so many bits on.
const CLEARLY_BITS: f64 = 5.0;

/// A less probable pair is not told.
const LEAST_PROBABILITY: f64 = 0.02;

/// Most pairs told.
const MOST_TOLD: usize = 3;

/// Causes searched among.
const PLAUSIBLE: usize = 12;

/// Hypotheses of one cause that are tried.
const OF_ONE: usize = 18;

/// Pairs of causes that go the full way, and pairs of hypotheses of each.
const FULL_WAY: (usize, usize) = (10, 3);

/// From so much on, natural log, what a pair explains better than any single cause counts less and less: what the
/// model misses may look like a second fault (engineering judgement).
const EARNED: f64 = 3.5;

/// What the rest of the grid may add to them, natural log.
const MOST_REST: f64 = 1.5;

/// A pair goes the full way when it promises this share of the bits, and of the probability, that are asked for.
const PROMISE_BITS: f64 = 3.5;
const PROMISE_PROBABILITY: f64 = 0.004;

/// Two causes at once with how well they explain.
#[derive(Debug, Clone, Copy)]
pub struct Pair {
    /// The two, the more probable alone first.
    pub causes: [Cause; 2],
    /// log of prior times likelihood, as the ranking counts it.
    log_share: f64,
    /// Bits over the best single cause.
    bits: f64,
}

/// log likelihood over all hypotheses of one cause or pair: as the ranking counts it, and plainly, as evidence is told.
#[derive(Debug, Clone, Copy)]
struct Likelihood {
    counted: f64,
    plain: f64,
}

impl Likelihood {
    fn new(weight: f64, parts: &Parts) -> Likelihood {
        Likelihood { counted: weight.ln() + tempered(parts).total(), plain: weight.ln() + parts.total() }
    }

    fn sum<'l>(all: impl Iterator<Item = &'l Likelihood> + Clone) -> Likelihood {
        Likelihood {
            counted: log_sum_exp(all.clone().map(|l| l.counted)),
            plain: log_sum_exp(all.map(|l| l.plain)),
        }
    }
}

/// log likelihood of a cause over its hypotheses.
fn likelihood(c: &CauseScore) -> Likelihood {
    let each: Vec<Likelihood> =
        c.hypotheses.iter().map(|(s, _)| Likelihood::new(s.hypothesis.weight, &s.parts)).collect();
    Likelihood::sum(each.iter())
}

/// Pairs that explain clearly more than the best single cause; best first.
pub fn search(scorer: &Scorer, ranked: &[CauseScore], memo: &mut Memo) -> Vec<Pair> {
    let Some(healthy) = ranked.iter().find(|c| c.cause == Cause::Healthy).map(CauseScore::best) else {
        return Vec::new();
    };
    let chosen: Vec<&Scored> = ranked
        .iter()
        .filter(|c| c.cause.is_fault())
        .flat_map(|c| c.hypotheses.iter().take(OF_ONE).map(|(s, _)| *s))
        .collect();
    let screen = Screen::new(healthy, &chosen);
    let plausible = plausible(&screen);
    let alone: Vec<(Cause, Likelihood)> = ranked.iter().map(|c| (c.cause, likelihood(c))).collect();
    let named = alone.iter().filter(|(c, _)| *c != Cause::Unknown);
    let single = named.map(|(_, l)| l.plain).fold(f64::NEG_INFINITY, f64::max);
    let best = alone.iter().map(|(_, l)| l.counted).fold(f64::NEG_INFINITY, f64::max);
    let all = log_sum_exp(ranked.iter().flat_map(|c| c.hypotheses.iter().map(|(s, _)| log_share(s))));
    let priors = log_sum_exp(ranked.iter().map(|c| c.best().log_prior));
    let mut promising: Vec<Promise> = Vec::new();
    for (n, a) in plausible.iter().enumerate() {
        for b in &plausible[n + 1..] {
            let groups = [a, b].map(|c| &c.cause.info().group);
            if groups[0] == groups[1] {
                continue;
            }
            let Some(p) = Promise::new(&screen, a, b, priors) else { continue };
            if p.likelihood.plain - single > PROMISE_BITS * std::f64::consts::LN_2
                && p.log_prior + p.likelihood.counted - all > PROMISE_PROBABILITY.ln()
            {
                promising.push(p);
            }
        }
    }
    let worth = |p: &Promise| p.log_prior + p.likelihood.counted;
    promising.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
    promising.truncate(FULL_WAY.0);
    let order = |c: Cause| ranked.iter().position(|r| r.cause == c);
    let mut pairs: Vec<Pair> = promising
        .iter()
        .filter_map(|p| {
            let found = p.full_way(scorer, &screen, memo)?;
            let mut causes = p.causes;
            causes.sort_by_key(|c| order(*c));
            let bits = (found.plain - single) / std::f64::consts::LN_2;
            Some(Pair { causes, log_share: p.log_prior + best + earned(found.counted - best), bits })
        })
        .filter(|p| p.bits >= CLEARLY_BITS)
        .collect();
    pairs.sort_by(|a, b| b.log_share.total_cmp(&a.log_share));
    pairs.truncate(MOST_TOLD);
    while let Some(last) = pairs.last() {
        let sum = log_sum_exp(pairs.iter().map(|p| p.log_share).chain([all]));
        if (last.log_share - sum).exp() >= LEAST_PROBABILITY {
            break;
        }
        pairs.pop();
    }
    pairs
}

/// What a gain over the best single cause counts.
fn earned(gain: f64) -> f64 {
    if gain > EARNED { EARNED + (1.0 + gain - EARNED).ln() } else { gain }
}

/// Takes the pairs into the sum of 1: the single causes give way.
pub fn inside_the_sum(ranked: &mut [CauseScore], pairs: &[Pair]) -> Vec<CausePair> {
    if pairs.is_empty() {
        return Vec::new();
    }
    let all = log_sum_exp(ranked.iter().flat_map(|c| c.hypotheses.iter().map(|(s, _)| log_share(s))));
    let sum = log_sum_exp(pairs.iter().map(|p| p.log_share).chain([all]));
    let left = (all - sum).exp();
    for c in ranked.iter_mut() {
        c.probability = (c.probability - DOUBT * c.prior) * left + DOUBT * c.prior;
    }
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let told = pairs.iter().map(|p| CausePair {
        codes: p.causes,
        probability: (1.0 - DOUBT) * (p.log_share - sum).exp(),
        bits_over_best_single: (p.bits * 100.0).round() / 100.0,
    });
    told.collect()
}

/// One plausible cause: places of its hypotheses in the screen.
struct Plausible {
    cause: Cause,
    places: Vec<usize>,
}

/// The causes that gain most over a healthy plant on any one part.
fn plausible(screen: &Screen) -> Vec<Plausible> {
    let mut out: Vec<(f64, Plausible)> = Vec::new();
    for k in 0..screen.len() {
        let (cause, gain) = (screen.scored(k).hypothesis.cause, screen.best_part(k));
        match out.iter_mut().find(|(_, p)| p.cause == cause) {
            Some((best, p)) => {
                *best = best.max(gain);
                p.places.push(k);
            }
            None => out.push((gain, Plausible { cause, places: vec![k] })),
        }
    }
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out.into_iter().take(PLAUSIBLE).map(|(_, p)| p).collect()
}

/// Where hardly any water comes, late water is no sign of a valve; where it stops by itself, no limit holds it.
fn hides(a: &Scored, b: &Scored) -> bool {
    let (x, y) = (&a.hypothesis, &b.hypothesis);
    y.drains_in_min.is_some() && a.flow_share < 0.5 || y.hold.is_some() && x.outcome.is_some()
}

/// What a pair promises.
struct Promise {
    causes: [Cause; 2],
    log_prior: f64,
    likelihood: Likelihood,
    /// Pairs of hypotheses, best first.
    tries: Vec<(usize, usize, Likelihood)>,
}

impl Promise {
    /// `None` when the two are rivals in all they do.
    fn new(screen: &Screen, a: &Plausible, b: &Plausible, log_priors: f64) -> Option<Promise> {
        let mut tries = Vec::new();
        for i in &a.places {
            for j in &b.places {
                let (x, y) = (screen.scored(*i), screen.scored(*j));
                if !merge::same_part(&x.hypothesis, &y.hypothesis) && !hides(x, y) && !hides(y, x) {
                    let (x, y) = (&x.hypothesis, &y.hypothesis);
                    tries.push((*i, *j, Likelihood::new(x.weight * y.weight, &screen.both(*i, *j))));
                }
            }
        }
        tries.sort_by(|a, b| b.2.counted.total_cmp(&a.2.counted));
        let (i, j, _) = *tries.first()?;
        // independent of each other: the product of their shares of all belief
        let log_prior = screen.scored(i).log_prior + screen.scored(j).log_prior - log_priors;
        let likelihood = Likelihood::sum(tries.iter().map(|t| &t.2));
        Some(Promise { causes: [a.cause, b.cause], log_prior, likelihood, tries })
    }

    /// log likelihood with both changes in one plant, over the hypotheses of both.
    fn full_way(&self, scorer: &Scorer, screen: &Screen, memo: &mut Memo) -> Option<Likelihood> {
        let mut scored = Vec::new();
        for (i, j, promised) in self.tries.iter().take(FULL_WAY.1) {
            let (a, b) = (&screen.scored(*i).hypothesis, &screen.scored(*j).hypothesis);
            let Some(both) = merge::hypotheses(a, b) else { continue };
            let weight = both.weight;
            let second = (b.cause, b.severity);
            scored.push((*promised, Likelihood::new(weight, &score(scorer, both, second, memo))));
        }
        if scored.is_empty() {
            return None;
        }
        // the rest of the grid adds what it promised to add to the best of it
        let promised = Likelihood::sum(scored.iter().map(|s| &s.0));
        let found = Likelihood::sum(scored.iter().map(|s| &s.1));
        let rest = |all: f64, best: f64| (all - best).clamp(0.0, MOST_REST);
        Some(Likelihood {
            counted: found.counted + rest(self.likelihood.counted, promised.counted),
            plain: found.plain + rest(self.likelihood.plain, promised.plain),
        })
    }
}

/// Parts of the log likelihood of two at once. What hangs on the name of a cause, or on its severity, may show either;
/// `second`: those of the other.
fn score(scorer: &Scorer, both: Hypothesis, second: (Cause, Option<f64>), memo: &mut Memo) -> Parts {
    let mut other = both.clone();
    (other.cause, other.severity) = second;
    let [a, b] = [both, other].map(|h| {
        let mut scored = scorer.score(h, 0.0, memo);
        scorer.draw_nearer(&mut scored, memo);
        scored
    });
    let mean = |of: fn(&Parts) -> f64| log_sum_exp([of(&a.parts), of(&b.parts)]) - 2f64.ln();
    let here = scorer.here();
    let answers = checks::log_likelihood(scorer.case, |made| {
        let of = |s: &Scored| {
            let plant = scorer.plant_of(s);
            checks::log_likelihood_of(
                made,
                &Prediction::new(here, &plant, &s.hypothesis, &s.table, Some(made)),
            )
        };
        log_sum_exp([of(&a), of(&b)]) - 2f64.ln()
    });
    Parts {
        load: mean(|p| p.load),
        unbalance: mean(|p| p.unbalance),
        noticed: mean(|p| p.noticed),
        warned: mean(|p| p.warned),
        resting: mean(|p| p.resting),
        still: mean(|p| p.still),
        impossible: mean(|p| p.impossible),
        rhythm: mean(|p| p.rhythm),
        unsteady: mean(|p| p.unsteady),
        heat: mean(|p| p.heat),
        checks: answers,
        ..a.parts
    }
}
