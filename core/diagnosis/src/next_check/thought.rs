//! A check tried in thought: which answers could come, and how the ranking would stand after each.

use wellwright_domain::cause::Cause;
use wellwright_physics::plant::Plant;

use super::cost::Costs;
use crate::checks::{CheckModel, Foreseen, Here, Prediction};
use crate::rank::CauseScore;
use crate::score::{Scored, Scorer};

/// Causes below this are left as they are.
const LEAST_BELIEF: f64 = 0.003;

/// Hypotheses that speak for one cause.
const HYPOTHESES: usize = 3;

/// Most hypotheses in all.
const MOST_PARTS: usize = 36;

/// Most answers that one hypothesis gives to one check.
const MOST_ANSWERS: usize = 16;

/// Below this nothing would be learnt, bits.
const LEAST_BITS: f64 = 0.002;

/// Two causes are told apart when an answer of the one names it rather than the other by this share on average.
const APART: f64 = 0.8;

/// Causes less probable than this are not worth naming.
const NAMED: f64 = 0.01;

/// Quantiles that stand for a spread, with their weights.
const FINE: [(f64, f64); 5] = [(-1.4, 0.2), (-0.65, 0.2), (0.0, 0.2), (0.65, 0.2), (1.4, 0.2)];
const COARSE: [(f64, f64); 3] = [(-1.22, 0.3), (0.0, 0.4), (1.22, 0.3)];

/// What a check would bring.
pub struct Tried {
    /// Expected information, bits.
    pub expected_bits: f64,
    /// Of these, bits on whether it is the leading cause or another.
    pub bits_on_first: f64,
    /// Wasted minutes that it saves on average.
    pub saved_min: f64,
    /// The causes it tells apart: one, and those it parts from it.
    pub separates: Vec<Cause>,
}

/// One hypothesis that takes part, with its plant.
struct Part<'s> {
    cause: usize,
    /// Share of all belief.
    weight: f64,
    plant: Plant,
    scored: &'s Scored,
}

/// The hypotheses that take part in all trials.
pub struct Parts<'s> {
    here: Here<'s>,
    chosen: Vec<Part<'s>>,
    causes: Vec<Cause>,
    beliefs: Vec<f64>,
}

impl<'s> Parts<'s> {
    /// Chooses them: of each plausible cause its leading hypotheses.
    pub fn new(scorer: &'s Scorer<'s>, ranked: &[CauseScore<'s>]) -> Parts<'s> {
        let here = scorer.here();
        let beliefs = open_minded(ranked);
        let mut parts: Vec<Part> = Vec::new();
        for (cause, c) in ranked.iter().enumerate().filter(|(k, _)| beliefs[*k] >= LEAST_BELIEF) {
            let leading = &c.hypotheses[..c.hypotheses.len().min(HYPOTHESES)];
            let share: f64 = leading.iter().map(|h| h.1).sum();
            parts.extend(leading.iter().filter(|h| h.1 > 0.02 * share).map(|(scored, w)| Part {
                cause,
                weight: beliefs[cause] * w / share,
                plant: scorer.plant_of(scored),
                scored,
            }));
        }
        parts.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        parts.truncate(MOST_PARTS);
        // those left speak for all that is believed of their cause
        let mut left = vec![0.0; ranked.len()];
        for part in &parts {
            left[part.cause] += part.weight;
        }
        for part in &mut parts {
            part.weight *= beliefs[part.cause] / left[part.cause];
        }
        let causes = ranked.iter().map(|c| c.cause).collect();
        Parts { here, chosen: parts, causes, beliefs }
    }

    /// Tries a check; `None` when it would tell nothing.
    pub fn try_in_thought(&self, costs: &Costs, model: &dyn CheckModel) -> Option<Tried> {
        let foreseen: Vec<Vec<Foreseen>> = self
            .chosen
            .iter()
            .map(|part| {
                let (h, table) = (&part.scored.hypothesis, &part.scored.table);
                let p = Prediction::new(self.here, &part.plant, h, table, None);
                // a fault that nothing describes is no reason to ask: it foresees what a sound system would
                model.foresee(&p)
            })
            .collect();
        let first = foreseen.first()?;
        if foreseen.iter().all(|f| f == first) {
            return None;
        }
        let weights: Vec<(usize, f64)> = self.chosen.iter().map(|part| (part.cause, part.weight)).collect();
        let before = entropy(&self.beliefs);
        let first_or_not = |p: &[f64]| entropy(&[p[0], 1.0 - p[0]]);
        let doubt = first_or_not(&self.beliefs);
        let (mut bits, mut on_first, mut wasted, mut tried) = (0.0, 0.0, 0.0, 0.0);
        // how surely an answer of one cause names it rather than another
        let n = self.causes.len();
        let mut named = vec![0.0; n * n];
        let mut own = vec![0.0; n];
        for (part, foreseen_here) in self.chosen.iter().zip(&foreseen) {
            for (answer, share) in answers(foreseen_here) {
                let densities = densities(&foreseen, &answer);
                let after = posterior(&self.beliefs, &weights, &densities);
                let w = part.weight * share;
                bits += w * (before - entropy(&after));
                on_first += w * (doubt - first_or_not(&after));
                wasted += w * costs.wasted_min(&after);
                tried += w;
                own[part.cause] += w;
                let density = |k: usize| after[k] / self.beliefs[k].max(1e-12);
                for k in 0..n {
                    let (a, b) = (density(part.cause), density(k));
                    named[part.cause * n + k] += w * a / (a + b).max(1e-300);
                }
            }
        }
        if tried <= 0.0 {
            return None;
        }
        let expected_bits = (bits / tried).max(0.0);
        if expected_bits < LEAST_BITS {
            return None;
        }
        let saved_min = costs.wasted_min(&self.beliefs) - wasted / tried;
        let apart = |a: usize, b: usize| {
            let one_way = |x: usize, y: usize| if own[x] > 0.0 { named[x * n + y] / own[x] } else { 0.5 };
            0.5 * (one_way(a, b) + one_way(b, a))
        };
        let bits_on_first = (on_first / tried).max(0.0);
        Some(Tried { expected_bits, bits_on_first, saved_min, separates: self.separates(apart) })
    }

    /// The pair that the check tells apart and that matters most, and what else it tells from the first of it.
    fn separates(&self, apart: impl Fn(usize, usize) -> f64) -> Vec<Cause> {
        let named: Vec<usize> = (0..self.causes.len()).filter(|k| self.beliefs[*k] >= NAMED).collect();
        let mut best: Option<(f64, usize)> = None;
        for (i, a) in named.iter().enumerate() {
            for b in &named[i + 1..] {
                let sure = apart(*a, *b);
                let weight = self.beliefs[*a] * self.beliefs[*b] * (2.0 * sure - 1.0);
                if sure >= APART && best.is_none_or(|(w, _)| weight > w) {
                    best = Some((weight, *a));
                }
            }
        }
        let Some((_, a)) = best else { return Vec::new() };
        let others = named.iter().filter(|k| **k != a && apart(a, **k) >= APART);
        std::iter::once(a).chain(others.copied()).map(|k| self.causes[k]).collect()
    }
}

/// Probabilities of the causes after an answer. `parts`: those that speak, each with its cause and weight; causes that
/// none speaks for keep their probability. `log_densities`: of the answer under each part.
fn posterior(beliefs: &[f64], parts: &[(usize, f64)], log_densities: &[f64]) -> Vec<f64> {
    let top = log_densities.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut out = vec![0.0; beliefs.len()];
    let (mut sum, mut prior) = (0.0, 0.0);
    for ((cause, weight), log) in parts.iter().zip(log_densities) {
        let joint = weight * (log - top).exp();
        out[*cause] += joint;
        sum += joint;
        prior += weight;
    }
    for (k, p) in out.iter_mut().enumerate() {
        let speaks = parts.iter().any(|(cause, _)| *cause == k);
        *p = if speaks { *p / sum * prior } else { beliefs[k] };
    }
    out
}

/// Probabilities to think with. Where none of the causes explains the readings, the readings (or the record) are not
/// to be trusted: then the causes are taken nearer to each other, so that the hands are asked instead.
fn open_minded(ranked: &[CauseScore]) -> Vec<f64> {
    let plain: Vec<f64> = ranked.iter().map(|c| c.probability).collect();
    if ranked.first().is_none_or(|c| c.cause != Cause::Unknown) {
        return plain;
    }
    let flat: Vec<f64> = plain.iter().map(|p| p.powf(0.4)).collect();
    let sum: f64 = flat.iter().sum();
    flat.into_iter().map(|p| p / sum).collect()
}

/// log densities of an answer under the parts.
fn densities(foreseen: &[Vec<Foreseen>], answer: &[f64]) -> Vec<f64> {
    let of = |f: &Vec<Foreseen>| f.iter().zip(answer).map(|(f, a)| f.log_density(*a)).sum();
    foreseen.iter().map(of).collect()
}

/// Answers that a hypothesis could give, with their weights; the rarest are left out.
fn answers(foreseen: &[Foreseen]) -> Vec<(Vec<f64>, f64)> {
    let numbers = foreseen.iter().filter(|f| !matches!(f, Foreseen::Yes(_) | Foreseen::Known)).count();
    let quantiles: &[(f64, f64)] = if numbers > 1 { &COARSE } else { &FINE };
    let spread = |mean: f64, sigma: f64, share: f64| {
        quantiles.iter().map(move |(z, w)| (mean + z * sigma, share * w)).collect::<Vec<_>>()
    };
    let mut out = vec![(Vec::new(), 1.0)];
    for f in foreseen {
        let choices = match *f {
            Foreseen::Number { mean, sigma } => spread(mean, sigma, 1.0),
            Foreseen::Either { p, first, second } => {
                let mut both = spread(first.mean, first.sigma, p);
                both.extend(spread(second.mean, second.sigma, 1.0 - p));
                both
            }
            Foreseen::Between { low, high, .. } => {
                let at = |share: f64| low + share * (high - low);
                vec![(at(0.15), 0.3), (at(0.5), 0.4), (at(0.85), 0.3)]
            }
            Foreseen::Yes(p) => vec![(1.0, p), (0.0, 1.0 - p)],
            Foreseen::Known => vec![(0.0, 1.0)],
        };
        out = out
            .iter()
            .flat_map(|(answer, w): &(Vec<f64>, f64)| {
                choices.iter().map(move |(x, q)| {
                    let mut longer = answer.clone();
                    longer.push(*x);
                    (longer, w * q)
                })
            })
            .collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out.truncate(4 * MOST_ANSWERS);
    }
    out.truncate(MOST_ANSWERS);
    let kept: f64 = out.iter().map(|a| a.1).sum();
    out.into_iter().map(|(answer, w)| (answer, w / kept)).collect()
}

fn entropy(p: &[f64]) -> f64 {
    p.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived decision example: three hypotheses 0.5, 0.3, 0.2 and a test that says yes with 0.9, 0.2, 0.3 have
    /// 1.48548 bit before and gain 0.35848 bit.
    #[test]
    fn information_of_a_yes_or_no() {
        let p = [0.5, 0.3, 0.2];
        let foreseen = [0.9, 0.2, 0.3].map(|yes| vec![Foreseen::Yes(yes)]);
        let parts: Vec<(usize, f64)> = p.iter().copied().enumerate().collect();
        let mut after = 0.0;
        for (own, weight) in foreseen.iter().zip(p) {
            for (answer, share) in answers(own) {
                after += weight * share * entropy(&posterior(&p, &parts, &densities(&foreseen, &answer)));
            }
        }
        assert!((entropy(&p) - 1.48548).abs() < 1e-5);
        assert!((entropy(&p) - after - 0.35848).abs() < 1e-5, "{}", entropy(&p) - after);
    }

    #[test]
    fn answers_keep_all_weight_and_stay_few() {
        let many = [Foreseen::yes(0.02); 12];
        let all = answers(&[&many[..], &[Foreseen::either(0.3, (0.0, 1.0), (9.0, 1.0))]].concat());
        assert!(all.len() <= MOST_ANSWERS);
        assert!((all.iter().map(|a| a.1).sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(all.iter().any(|a| a.0[12] > 5.0) && all.iter().any(|a| a.0[12] < 3.0));
    }
}
