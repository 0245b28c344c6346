//! The check that saves most.
//!
//! Each check that is possible and safe here is tried in thought: the answers it could give, how often, and
//! what the ranking would be after each. What counts is the cost still ahead (acting on a wrong guess, at worst
//! lifting the pump for nothing) less the check's own.

use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::Check;
use wellwright_domain::finding::NextCheck;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::Situation;

use crate::checks::{self, CheckModel, Foreseen, Prediction};
use crate::rank::CauseScore;
use crate::score::{Scored, Scorer};

/// People of a lifting crew: its minutes count this often (common practice, no single source).
const CREW: f64 = 3.0;

/// Minutes lost when the wrong thing is repaired without lifting (engineering judgement).
const WRONG_REPAIR_MIN: f64 = 60.0;

/// A check of so many minutes may be suggested for what it tells alone, if it tells so many bits.
const QUICK_MIN: f64 = 15.0;
const TELLING_BITS: f64 = 0.15;

/// A check that confirms takes no more minutes than this.
const CONFIRM_MIN: f64 = 30.0;

/// Below this nothing would be learnt.
const LEAST_BITS: f64 = 0.002;

/// Answers tried in thought for each number: quantiles of a normal spread.
const QUANTILES: [f64; 5] = [-1.4, -0.65, 0.0, 0.65, 1.4];

/// Most suggestions.
const MOST: usize = 5;

/// Suggestions, best first. `must_stop`: only checks with the pump stopped.
///
/// A check is suggested when it is worth its minutes, or telling and quick. When a fault stands out so clearly
/// that none is, the one that would confirm it best still is: nothing is repaired on a number alone.
pub fn next_checks(scorer: &Scorer, ranked: &[CauseScore], must_stop: bool) -> Vec<NextCheck> {
    let beliefs: Vec<f64> = ranked.iter().map(|c| c.probability).collect();
    let mut tried: Vec<(f64, NextCheck)> = checks::ALL
        .iter()
        .filter(|m| is_possible(scorer, **m, must_stop))
        .filter_map(|m| try_in_thought(scorer, ranked, &beliefs, *m))
        .collect();
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    let worth = |(saving, n): &(f64, NextCheck)| {
        *saving > 0.0 || (n.expected_bits >= TELLING_BITS && n.cost <= QUICK_MIN)
    };
    let mut out: Vec<NextCheck> =
        tried.iter().filter(|t| worth(t)).map(|(_, n)| n.clone()).take(MOST).collect();
    let sound = |c: Cause| matches!(c, Cause::Healthy | Cause::LowSun | Cause::StandingBy);
    if out.is_empty() && ranked.first().is_some_and(|c| !sound(c.cause)) {
        let confirming = tried.into_iter().map(|(_, n)| n).filter(|n| n.cost <= CONFIRM_MIN);
        out.extend(confirming.max_by(|a, b| a.expected_bits.total_cmp(&b.expected_bits)));
    }
    out
}

/// Possible at this place, safe for this pump, with these tools, and not made yet.
fn is_possible(scorer: &Scorer, model: &dyn CheckModel, must_stop: bool) -> bool {
    let system = scorer.case.system;
    let info = model.check().info();
    let helical = system.pump.kind == PumpKind::HelicalRotor;
    let in_service = scorer.case.situation.unwrap_or_default() == Situation::InService;
    let never = match info.never_for.as_str() {
        "helical_rotor" => helical,
        "helical_rotor and in_service" => helical && in_service,
        // the pump is in the well: there is telemetry from it
        "in_service or (pump still in the well)" => in_service || scorer.look.rows > 0,
        _ => false,
    };
    let access = system.access.as_ref();
    let denied = |key: Option<bool>| key == Some(false);
    let barred = access.is_some_and(|a| match model.check() {
        Check::WaterLevelSounding | Check::RestingLevelSounding => denied(a.sounding),
        Check::WellheadGauge => denied(a.gauge_port),
        Check::DeadHeadGauge => denied(a.gauge_port) || denied(a.wellhead_valve),
        Check::BucketTest => denied(a.outlet_reachable),
        _ => false,
    });
    let no_tool = scorer.case.missing_tools.iter().any(|t| info.tool.contains(t.as_str()));
    let made = scorer.case.checks.iter().any(|c| c.check == model.check());
    !(never || barred || no_tool || made || (must_stop && model.while_running()))
}

fn try_in_thought(
    scorer: &Scorer,
    ranked: &[CauseScore],
    beliefs: &[f64],
    model: &dyn CheckModel,
) -> Option<(f64, NextCheck)> {
    let foreseen: Vec<Vec<Foreseen>> = ranked.iter().map(|c| foresee(scorer, c.best(), model)).collect();
    if foreseen.iter().all(Vec::is_empty) {
        return None;
    }
    let before = entropy(beliefs);
    let cost_before = cost_ahead(ranked, beliefs);
    let (mut after, mut cost_after) = (0.0, 0.0);
    for (own, p) in foreseen.iter().zip(beliefs) {
        if *p < 0.003 {
            after += p * before;
            cost_after += p * cost_before;
            continue;
        }
        for (answer, weight) in answers(own) {
            let posterior = posterior(beliefs, &foreseen, &answer);
            after += p * weight * entropy(&posterior);
            cost_after += p * weight * cost_ahead(ranked, &posterior);
        }
    }
    let expected_bits = (before - after).max(0.0);
    if expected_bits < LEAST_BITS {
        return None;
    }
    let info = model.check().info();
    let cost = if model.check() == Check::PullPump { CREW * info.minutes } else { info.minutes };
    let saving = cost_before - cost_after - cost;
    let next = NextCheck {
        code: model.check(),
        minutes: info.minutes,
        cost,
        expected_bits: (expected_bits * 1000.0).round() / 1000.0,
        separates: separates(ranked, beliefs, &foreseen),
        cautions: info.cautions.clone(),
    };
    Some((saving, next))
}

fn foresee(scorer: &Scorer, s: &Scored, model: &dyn CheckModel) -> Vec<Foreseen> {
    let (plant, table) = scorer.plant_of(s);
    let running = checks::running_at(scorer.look, None);
    model.foresee(&Prediction {
        plant: &plant,
        healthy: scorer.plant,
        hypothesis: &s.hypothesis,
        flow_share: s.flow_share,
        table,
        running,
    })
}

/// Answers that a cause could give, with their weights.
fn answers(foreseen: &[Foreseen]) -> Vec<(Vec<f64>, f64)> {
    let mut out = vec![(Vec::new(), 1.0)];
    for f in foreseen {
        let choices: Vec<(f64, f64)> = match *f {
            Foreseen::Number { mean, sigma } => QUANTILES.iter().map(|z| (mean + z * sigma, 0.2)).collect(),
            Foreseen::Yes(p) => vec![(1.0, p), (0.0, 1.0 - p)],
        };
        out = out
            .into_iter()
            .flat_map(|(answer, w): (Vec<f64>, f64)| {
                choices.iter().map(move |(x, q)| {
                    let mut longer = answer.clone();
                    longer.push(*x);
                    (longer, w * q)
                })
            })
            .filter(|(_, w)| *w > 1e-3)
            .collect();
    }
    out
}

fn posterior(beliefs: &[f64], foreseen: &[Vec<Foreseen>], answer: &[f64]) -> Vec<f64> {
    let logs: Vec<f64> = beliefs
        .iter()
        .zip(foreseen)
        .map(|(p, f)| p.max(1e-12).ln() + f.iter().zip(answer).map(|(f, a)| f.log_density(*a)).sum::<f64>())
        .collect();
    let all = crate::likelihood::log_sum_exp(logs.iter().copied());
    logs.into_iter().map(|l| (l - all).exp()).collect()
}

fn entropy(p: &[f64]) -> f64 {
    p.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

/// Minutes lost on average by acting on the most probable cause now.
fn cost_ahead(ranked: &[CauseScore], beliefs: &[f64]) -> f64 {
    let lift = CREW * Check::PullPump.info().minutes;
    let Some((best, p)) = ranked.iter().zip(beliefs).max_by(|a, b| a.1.total_cmp(b.1)) else { return 0.0 };
    let wrong = match best.cause.info().pump_out {
        PumpOut::Yes => lift,
        PumpOut::Maybe => 0.5 * (lift + WRONG_REPAIR_MIN),
        PumpOut::No if best.cause == Cause::Unknown => lift,
        PumpOut::No => 3.0 * WRONG_REPAIR_MIN,
    };
    (1.0 - p) * wrong
}

/// The plausible causes that the check would tell from the leading one.
fn separates(ranked: &[CauseScore], beliefs: &[f64], foreseen: &[Vec<Foreseen>]) -> Vec<Cause> {
    let mut out = vec![ranked[0].cause];
    for k in 1..ranked.len() {
        let apart = foreseen[0].iter().zip(&foreseen[k]).any(|(a, b)| match (*a, *b) {
            (Foreseen::Number { mean: m, sigma: s }, Foreseen::Number { mean: n, sigma: t }) => {
                (m - n).abs() > 1.5 * s.hypot(t)
            }
            (Foreseen::Yes(p), Foreseen::Yes(q)) => (p - q).abs() > 0.4,
            _ => true,
        });
        if apart && beliefs[k] > 0.01 {
            out.push(ranked[k].cause);
        }
    }
    out
}
