//! Evidence in bits: what each channel, check and circumstance says for or against a cause.
//!
//! The weight of one piece is log2 of its likelihood under the cause over its likelihood under the mixture of
//! the other causes (mixed by their prior), that piece alone.

use wellwright_domain::channel::Channel;
use wellwright_domain::check::CheckMade;
use wellwright_domain::finding::{Evidence, EvidenceValue, Regime};

use crate::checks::{self, Foreseen, Here, Prediction};
use crate::likelihood::log_sum_exp;
use crate::predict::{Quantity, Row};
use crate::rank::CauseScore;
use crate::score::{Scored, Scorer, electrical, only_quantity, unsteady, warned};
use crate::window::Outcome;

/// Pieces weaker than this are not told, bits.
const LEAST_BITS: f64 = 0.2;

const QUANTITIES: [Quantity; 6] = [
    Quantity::Flow,
    Quantity::Pressure,
    Quantity::Level,
    Quantity::Power,
    Quantity::PhaseCurrent,
    Quantity::OutputVoltage,
];

/// Evidence about `of`, strongest first.
pub fn evidence(scorer: &Scorer, ranked: &[CauseScore], of: &CauseScore, regime: Regime) -> Vec<Evidence> {
    let piece = |density: &dyn Fn(&Scored) -> f64| bits(ranked, of, density);
    let mut out = Vec::new();
    for q in QUANTITIES {
        if scorer.measured.rows.iter().any(|r| r.quantity == q) {
            let weight = piece(&|s| only_quantity(&s.load.errors, &scorer.measured, q).log_density());
            out.extend(quantity(scorer, ranked, of, q, regime, weight));
        }
    }
    if !scorer.sun.is_empty() {
        out.push(array(scorer, ranked, of, regime, piece(&|s| s.sun.log_likelihood)));
    }
    if let Some(seen) = unbalance(scorer) {
        let mut e = blank(Some(Channel::PhaseVA), None, regime, piece(&|s| s.parts.unbalance));
        e.unit = Some("1".into());
        e.measured = Some(EvidenceValue::Number(round(seen)));
        e.if_healthy = Some(EvidenceValue::Number(0.0));
        e.sigma = Some(electrical::SENSORS);
        out.push(e);
    }
    if let Some((channel, seen, usual)) = unsteady::told(scorer.look) {
        let mut e = blank(Some(channel), None, regime, piece(&|s| s.parts.unsteady));
        e.unit = Some("%".into());
        e.measured = Some(EvidenceValue::Number(round(100.0 * seen)));
        e.if_healthy = Some(EvidenceValue::Number(0.0));
        // four of five steady ones stay below
        e.sigma = Some(round(100.0 * usual / 1.2816));
        out.push(e);
    }
    if let Some(seen) = scorer.observed {
        let mut e = blank(None, Some("controller_display"), regime, piece(&|s| s.parts.outcome));
        e.measured = Some(EvidenceValue::Text(seen.code().into()));
        e.if_healthy = Some(EvidenceValue::Text("runs".into()));
        e.if_cause = Some(EvidenceValue::Text(most_likely(of.best()).into()));
        out.push(e);
    }
    if let Some(warns) = warned::warned(scorer.look) {
        let mut e = blank(None, Some("controller_display"), regime, piece(&|s| s.parts.warned));
        e.measured = Some(EvidenceValue::Text(warns.code().into()));
        e.if_healthy = Some(EvidenceValue::Text(Outcome::Runs.code().into()));
        out.push(e);
    }
    out.push(blank(None, Some("lead_map"), regime, piece(&|s| s.parts.parity)));
    out.push(blank(
        None,
        Some("situation"),
        regime,
        situation_bits(ranked, of) + piece(&|s| s.parts.noticed),
    ));
    out.extend(scorer.case.checks.iter().map(|made| by_hand(scorer, ranked, of, made, regime)));
    out.retain(|e| e.weight_bits.abs() >= LEAST_BITS);
    out.sort_by(|a, b| b.weight_bits.abs().total_cmp(&a.weight_bits.abs()));
    out
}

/// What a check made by hand says.
fn by_hand(
    scorer: &Scorer,
    ranked: &[CauseScore],
    of: &CauseScore,
    made: &CheckMade,
    regime: Regime,
) -> Evidence {
    let here = Here { case: scorer.case, look: scorer.look, healthy: scorer.plant };
    let weight = bits(ranked, of, &|s| {
        let (plant, table) = scorer.plant_of(s);
        checks::log_likelihood_of(made, &Prediction::new(here, &plant, &s.hypothesis, table, Some(made)))
    });
    let mut e = blank(None, Some(made.check.code()), regime, weight);
    let Some(model) = checks::model(made.check) else { return e };
    let seen = model.read(made).first().copied().flatten();
    let foreseen = |s: &Scored| {
        let (plant, table) = scorer.plant_of(s);
        let p = Prediction::new(here, &plant, &s.hypothesis, table, Some(made));
        model.foresee(&p).first().copied()
    };
    let (if_healthy, if_cause) = (healthy(ranked).and_then(foreseen), foreseen(of.best()));
    if let Some((unit, is_log)) = model.unit() {
        let told = |x: f64| if is_log { x.exp() } else { x };
        let number = |x: f64| x.is_finite().then(|| EvidenceValue::Number(round(told(x))));
        e.unit = Some(unit.to_owned());
        e.measured = seen.and_then(number);
        e.if_healthy = if_healthy.and_then(|f| number(f.middle()));
        e.if_cause = if_cause.and_then(|f| number(f.middle()));
    } else if matches!(if_cause, Some(Foreseen::Yes(_))) {
        let yes = |x: f64| x.is_finite().then_some(EvidenceValue::Bool(x > 0.5));
        e.measured = seen.and_then(yes);
        e.if_healthy = if_healthy.and_then(|f| yes(f.middle()));
        e.if_cause = if_cause.and_then(|f| yes(f.middle()));
    }
    e
}

fn blank(channel: Option<Channel>, check: Option<&str>, regime: Regime, weight: f64) -> Evidence {
    Evidence {
        channel: channel.map(|c| c.code().to_owned()),
        check: check.map(str::to_owned),
        regime,
        unit: None,
        measured: None,
        if_healthy: None,
        if_cause: None,
        sigma: None,
        weight_bits: (weight * 100.0).round() / 100.0,
    }
}

/// log2 of one piece's likelihood under a cause over that under the others.
fn bits(ranked: &[CauseScore], of: &CauseScore, density: &dyn Fn(&Scored) -> f64) -> f64 {
    // each cause speaks through its leading hypotheses, weighed by how well they fit all in all
    let of_cause = |c: &CauseScore| {
        let leading = || c.hypotheses.iter().take(3).map(|(s, w)| (s, w.max(1e-12).ln()));
        // the shares left out are no evidence
        log_sum_exp(leading().map(|(s, w)| w + density(s))) - log_sum_exp(leading().map(|(_, w)| w))
    };
    let others: Vec<&CauseScore> = ranked.iter().filter(|c| c.cause != of.cause).collect();
    let weight: f64 = others.iter().map(|c| c.prior).sum();
    let mixed = log_sum_exp(others.iter().map(|c| (c.prior / weight).ln() + of_cause(c)));
    ((of_cause(of) - mixed) / std::f64::consts::LN_2).clamp(-60.0, 60.0)
}

/// Bits of the prior itself against an even start over all causes.
fn situation_bits(ranked: &[CauseScore], of: &CauseScore) -> f64 {
    (of.prior * ranked.len() as f64).log2().clamp(-6.0, 6.0) * 0.5
}

/// The hypothesis that stands for the healthy plant.
fn healthy<'s>(ranked: &[CauseScore<'s>]) -> Option<&'s Scored> {
    ranked.iter().find(|c| c.cause == wellwright_domain::cause::Cause::Healthy).map(|c| c.hypotheses[0].0)
}

fn quantity(
    scorer: &Scorer,
    ranked: &[CauseScore],
    of: &CauseScore,
    q: Quantity,
    regime: Regime,
    weight: f64,
) -> Option<Evidence> {
    let mut e = blank(Some(q.channel()), None, regime, weight);
    // while it runs; how it stood before counts, but is another number
    let told = |r: &Row| r.quantity == q && !scorer.measured.at_rest(r);
    let rows: Vec<usize> =
        (0..scorer.measured.rows.len()).filter(|k| told(&scorer.measured.rows[*k])).collect();
    if rows.is_empty() {
        return None;
    }
    let n = rows.len() as f64;
    let value = |of_row: &dyn Fn(usize) -> f64| {
        let mean = rows.iter().map(|k| of_row(*k)).sum::<f64>() / n;
        if q.is_log() { mean.exp() } else { mean }
    };
    // power is told as the DC current at the measured voltage, so that it can be read beside the display
    let scale = if q == Quantity::Power { 1.0 / mean_dc_v(scorer) } else { 1.0 };
    let measured = value(&|k| scorer.measured.rows[k].measured) * scale;
    let sigma = rows.iter().map(|k| of.best().load.sigma[*k]).sum::<f64>() / n;
    e.unit = Some(q.channel().unit().to_owned());
    e.measured = Some(EvidenceValue::Number(round(measured)));
    e.if_healthy = healthy(ranked).map(|h| EvidenceValue::Number(round(value(&|k| h.load.mean[k]) * scale)));
    e.if_cause = Some(EvidenceValue::Number(round(value(&|k| of.best().load.mean[k]) * scale)));
    e.sigma = Some(round(if q.is_log() { sigma * measured } else { sigma }));
    Some(e)
}

fn mean_dc_v(scorer: &Scorer) -> f64 {
    let volts: Vec<f64> = scorer.measured.points.iter().filter_map(|p| p.get(Channel::ArrayV)).collect();
    (volts.iter().sum::<f64>() / volts.len().max(1) as f64).max(1.0)
}

fn array(scorer: &Scorer, ranked: &[CauseScore], of: &CauseScore, regime: Regime, weight: f64) -> Evidence {
    let mut e = blank(Some(Channel::ArrayV), None, regime, weight);
    let mean = |v: &[f64]| if v.is_empty() { None } else { Some(v.iter().sum::<f64>() / v.len() as f64) };
    e.unit = Some("V".into());
    let seen: Vec<f64> = scorer.measured.points.iter().filter_map(|p| p.get(Channel::ArrayV)).collect();
    e.measured = mean(&seen).map(|v| EvidenceValue::Number(round(v)));
    e.if_healthy = healthy(ranked).and_then(|h| mean(&h.sun.best_v)).map(|v| EvidenceValue::Number(round(v)));
    e.if_cause = mean(&of.best().sun.best_v).map(|v| EvidenceValue::Number(round(v)));
    e.sigma = mean(&seen).map(|v| round(0.025 * v));
    e
}

/// Largest departure of one current from the mean, when all three are measured.
fn unbalance(scorer: &Scorer) -> Option<f64> {
    let seen = electrical::mean_unbalance(&scorer.measured.points)?;
    Some(seen.iter().map(|u| (u - 1.0).abs()).fold(0.0, f64::max))
}

fn most_likely(s: &Scored) -> &'static str {
    let chance = |o: &Outcome| s.table[*o as usize];
    Outcome::ALL
        .into_iter()
        .max_by(|a, b| chance(a).total_cmp(&chance(b)))
        .map_or(Outcome::Runs.code(), Outcome::code)
}

/// Four significant figures: more would claim what no sensor knows.
fn round(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return 0.0;
    }
    let digits = 3 - x.abs().log10().floor() as i32;
    let scale = 10f64.powi(digits);
    (x * scale).round() / scale
}
