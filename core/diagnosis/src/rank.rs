//! From scores to probabilities and severities.

use wellwright_domain::cause::Cause;
use wellwright_domain::finding::Severity;

use crate::likelihood::log_sum_exp;
use crate::score::{Parts, Scored};

/// Evidence from channels is weighed down by this exponent: the model's errors are wider and more alike than the widths
/// in `predict` say, so that bits are worth a little less than they look (engineering judgement, checked on cases
/// of an independent test plant, never on recordings).
pub const TEMPER: f64 = 0.65;

/// Share of belief that no evidence takes away from the priors: the model itself may be wrong about everything
/// (engineering judgement).
pub const DOUBT: f64 = 0.005;

/// One cause with all its hypotheses.
#[derive(Clone)]
pub struct CauseScore<'s> {
    /// Which cause.
    pub cause: Cause,
    /// Posterior probability.
    pub probability: f64,
    /// Prior probability.
    pub prior: f64,
    /// Its hypotheses with their posterior share within the cause, most probable first.
    pub hypotheses: Vec<(&'s Scored, f64)>,
}

impl CauseScore<'_> {
    /// Its most probable hypothesis.
    pub fn best(&self) -> &Scored {
        self.hypotheses[0].0
    }
}

/// The parts as the ranking counts them.
pub fn tempered(parts: &Parts) -> Parts {
    Parts {
        load: TEMPER * parts.load,
        sun: TEMPER * parts.sun,
        unbalance: TEMPER * parts.unbalance,
        held: TEMPER * parts.held,
        ..*parts
    }
}

/// log of prior times weight times likelihood as the ranking counts it.
pub fn log_share(s: &Scored) -> f64 {
    s.log_prior + s.hypothesis.weight.ln() + tempered(&s.parts).total()
}

/// Posterior probabilities, most probable first.
pub fn rank(scored: &[Scored]) -> Vec<CauseScore<'_>> {
    let mut causes: Vec<Cause> = scored.iter().map(|s| s.hypothesis.cause).collect();
    causes.dedup();
    let log = log_share;
    let all = log_sum_exp(scored.iter().map(log));
    let priors = log_sum_exp(causes.iter().map(|c| prior_of(scored, *c)));
    let mut out: Vec<CauseScore> = causes
        .into_iter()
        .map(|cause| {
            let own: Vec<&Scored> = scored.iter().filter(|s| s.hypothesis.cause == cause).collect();
            let sum = log_sum_exp(own.iter().map(|s| log(s)));
            let mut hypotheses: Vec<(&Scored, f64)> =
                own.iter().map(|s| (*s, (log(s) - sum).exp())).collect();
            hypotheses.sort_by(|a, b| b.1.total_cmp(&a.1));
            CauseScore {
                cause,
                probability: (1.0 - DOUBT) * (sum - all).exp()
                    + DOUBT * (prior_of(scored, cause) - priors).exp(),
                prior: (prior_of(scored, cause) - priors).exp(),
                hypotheses,
            }
        })
        .collect();
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    out
}

fn prior_of(scored: &[Scored], cause: Cause) -> f64 {
    scored.iter().find(|s| s.hypothesis.cause == cause).map_or(f64::NEG_INFINITY, |s| s.log_prior)
}

/// A severity that is read off the window lies within this share: tolerances of sensor and record.
const READ_OFF: f64 = 0.04;

/// What differs, where a cause leaves that open: the likeliest.
fn likeliest_of(score: &CauseScore) -> Option<&'static str> {
    let mut shares: Vec<(&str, f64)> = Vec::new();
    for (s, w) in &score.hypotheses {
        let of = s.hypothesis.of?;
        match shares.iter_mut().find(|x| x.0 == of) {
            Some(x) => x.1 += w,
            None => shares.push((of, *w)),
        }
    }
    shares.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|x| x.0)
}

/// Severity with its 80 % interval, from the weights of the hypotheses: the median, of what most likely differs.
pub fn severity(score: &CauseScore) -> Option<Severity> {
    let info = score.cause.info().severity.as_ref()?;
    let of = likeliest_of(score);
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (s, w) in score.hypotheses.iter().filter(|(s, _)| of.is_none() || s.hypothesis.of == of) {
        let x = s.hypothesis.severity?;
        match points.iter_mut().find(|p| p.0 == x) {
            Some(p) => p.1 += w,
            None => points.push((x, *w)),
        }
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = points.iter().map(|(_, w)| w).sum();
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    for p in &mut points {
        p.1 /= total;
    }
    // each grid value stands for half the way to its neighbours, a count for itself
    let counts = info.unit == "count";
    let edges: Vec<(f64, f64)> = (0..points.len())
        .map(|k| {
            if counts {
                return (points[k].0, points[k].0);
            }
            if points.len() == 1 {
                let off = READ_OFF * points[0].0.abs();
                return (points[0].0 - off, points[0].0 + off);
            }
            let left = if k == 0 { points[0].0 } else { 0.5 * (points[k - 1].0 + points[k].0) };
            let right = points.get(k + 1).map_or(points[k].0, |n| 0.5 * (points[k].0 + n.0));
            (left, right)
        })
        .collect();
    let quantile = |q: f64| {
        let mut sum = 0.0;
        for (k, (_, w)) in points.iter().enumerate() {
            if sum + w >= q {
                let t = if *w > 0.0 { (q - sum) / w } else { 0.5 };
                return edges[k].0 + t * (edges[k].1 - edges[k].0);
            }
            sum += w;
        }
        points.last().map_or(0.0, |p| p.0)
    };
    let clamp = |x: f64| x.clamp(info.low, info.high);
    // the first of a logarithmic grid stands for nothing at all, too
    let nothing = info.low == 0.0 && points.len() > 1 && points[0].1 >= 0.1;
    let low = if nothing { 0.0 } else { quantile(0.1) };
    Some(Severity {
        value: clamp(quantile(0.5)),
        interval: [clamp(low), clamp(quantile(0.9))],
        unit: info.unit.clone(),
        of: of.map(str::to_owned),
    })
}
