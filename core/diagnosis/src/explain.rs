//! The one call: a case in, a finding out.

use chrono::{DateTime, FixedOffset};
use thiserror::Error;
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::CheckMade;
use wellwright_domain::finding::{Finding, ModelId, RankedCause, Regime, Verdict, Window};
use wellwright_domain::record::System;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::plant::{Assumed, Plant};

use crate::baseline::Baseline;
use crate::case::Case;
use crate::causes::Hold;
use crate::checks::{Beside, contradictions, counts, is_far, leak_to_ground};
use crate::evidence::evidence;
use crate::next_check::next_checks;
use crate::pairs;
use crate::predict::as_seen::healthy_plant_as_seen;
use crate::predict::sky::Calendar;
use crate::rank::{CauseScore, rank, severity};
use crate::refuted::{Sifted, sift};
use crate::running::running;
use crate::score::{Memo, Scorer};
use crate::verdict::{self, LEAKS, better_left_standing};
use crate::window::{Look, Outcome, recent};

/// Evidence is told in full for this many causes; less plausible ones keep only their probability.
const TOLD_IN_FULL: usize = 6;

/// Why there is no finding.
#[derive(Debug, Error)]
pub enum DiagnosisError {
    /// The record describes no plant that can exist.
    #[error("the record of {system} cannot be computed: {source}; correct the record")]
    Record {
        /// System.
        system: String,
        /// What is wrong.
        source: PhysicsError,
    },
}

/// Explains one look.
///
/// Of a long window only the end is looked at ([`recent`]); the rest counts as set aside, and the finding's window
/// says from when to when was looked.
///
/// Errors: [`DiagnosisError::Record`] when the record's values fit no physics. Empty telemetry is no error:
/// the checks and the situation then speak alone.
pub fn explain(case: &Case) -> Result<Finding, DiagnosisError> {
    let system = case.system;
    let last = recent(case.samples);
    let (plant, assumed) = healthy_plant_as_seen(system, last)
        .map_err(|source| DiagnosisError::Record { system: system.name.clone(), source })?;
    let calendar = Calendar::new(&plant, last);
    let sun_up = |at: DateTime<FixedOffset>| calendar.is_day(at);
    let Sifted { rows, look, refuted } = sift(case.samples, last, sun_up, system, &plant);
    let (far, near): (Vec<CheckMade>, Vec<CheckMade>) =
        in_order(case.checks).into_iter().partition(|made| is_far(made, look.span));
    let case = &Case { checks: &near, samples: &rows, ..case.clone() };
    let baseline = Baseline::new(case, &plant, &assumed, sun_up);
    let scorer = Scorer::new(case, &plant, &assumed, &look).knowing(baseline.as_ref());
    let mut memo = Memo::default();
    let scored = scorer.score_all(&mut memo);
    let mut ranked = rank(&scored);
    let found = pairs::search(&scorer, &ranked, &mut memo);
    let pairs = pairs::inside_the_sum(&mut ranked, &found);
    let of_pairs =
        |c: Cause| pairs.iter().filter(|p| p.codes.contains(&c)).map(|p| p.probability).sum::<f64>();
    let of_cause = |c: Cause| ranked.iter().find(|r| r.cause == c).map_or(0.0, |r| r.probability);
    // alone or with another
    let probability = |c: Cause| of_cause(c) + of_pairs(c);
    // a pair counts as one fault
    let mut order: Vec<(Cause, f64)> = ranked.iter().map(|r| (r.cause, r.probability)).collect();
    order.extend(pairs.iter().map(|p| (p.codes[0], p.probability)));
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    let running = running(&look, case.checks);
    let regime = verdict::regime(&plant, &look, running);
    let regime = held_by(&ranked).filter(|_| regime == Regime::SunLimited).unwrap_or(regime);
    let do_first = verdict::do_first(probability, system.pump.kind, running);
    let causes = ranked
        .iter()
        .enumerate()
        .map(|(k, c)| RankedCause {
            code: c.cause,
            probability: c.probability,
            severity: severity(c),
            evidence: if k < TOLD_IN_FULL { evidence(&scorer, &ranked, c, regime) } else { Vec::new() },
            not_seen: not_seen(c.cause, &look),
        })
        .collect();
    let leak = leak_to_ground(case.checks).filter(|_| probability(Cause::InsulationFault) < LEAKS);
    let left_standing =
        do_first.is_some() || leak.is_some() || better_left_standing(probability, system.pump.kind);
    let beside = Beside { far: &far, calendar: &calendar, refuted: &refuted };
    let mut said = contradictions(case, &look, &plant, &scorer.bounds, &beside);
    said.extend(leak);
    let next_checks = next_checks(&scorer, &shared_out(&ranked, of_pairs), left_standing);
    Ok(Finding {
        schema: 1,
        system: system.name.clone(),
        window: Window {
            from: look.span.map(|s| s.0),
            to: look.span.map(|s| s.1),
            rows: case.samples.len(),
            used: look.used,
            set_aside: case.samples.len() - look.used,
        },
        verdict: if says_too_little(case, &look, &plant) || another_system(&scorer, &order) {
            Verdict::TooLittle
        } else {
            verdict::verdict(probability, &order, regime == Regime::Stopped)
        },
        do_first,
        regime,
        assumed: names(&assumed),
        causes,
        pairs,
        next_checks,
        contradictions: said,
        baseline: baseline.map(Baseline::told),
        model: ModelId { version: crate::MODEL_VERSION.to_owned(), record_hash: record_hash(system) },
    })
}

/// Checks in the order in which they were made; one without a time keeps its place in the list.
fn in_order(checks: &[CheckMade]) -> Vec<CheckMade> {
    let mut timed: Vec<&CheckMade> = checks.iter().filter(|c| c.at.is_some()).collect();
    timed.sort_by_key(|c| c.at);
    let mut timed = timed.into_iter();
    let in_place = |c: &CheckMade| if c.at.is_some() { timed.next().cloned() } else { Some(c.clone()) };
    checks.iter().filter_map(in_place).collect()
}

/// What was assumed, each once.
fn names(assumed: &[Assumed]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for a in assumed {
        if !out.iter().any(|o| o == a.field) {
            out.push(a.field.to_owned());
        }
    }
    out
}

/// What holds a running pump when the leading cause is a limit that is set below the record's, or the heat.
fn held_by(ranked: &[CauseScore]) -> Option<Regime> {
    let first = ranked.first().filter(|c| c.probability >= 0.5)?;
    match first.best().hypothesis.hold? {
        Hold::Speed => Some(Regime::SpeedLimited),
        Hold::Current => Some(Regime::CurrentLimited),
        Hold::Power => Some(Regime::PowerLimited),
        Hold::Heat => Some(Regime::HeatLimited),
        Hold::Voltage | Hold::Beside => None,
    }
}

/// The ranking with what the pairs hold given to their causes, half each: for the next check one of two is found
/// first.
fn shared_out<'s>(ranked: &[CauseScore<'s>], of_pairs: impl Fn(Cause) -> f64) -> Vec<CauseScore<'s>> {
    let mut out = ranked.to_vec();
    for c in &mut out {
        c.probability += 0.5 * of_pairs(c.cause);
    }
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    out
}

/// Nothing was measured and nobody looked, or no running row tells a speed that holds (one row has no neighbour that
/// shows it steady): then what is likely from the situation alone is no verdict.
fn says_too_little(case: &Case, look: &Look, plant: &Plant) -> bool {
    let looked =
        case.checks.iter().any(|made| counts(made, plant)) || (look.rows == 0 && case.noticed.is_some());
    let single = look.rows == 1 && !look.steady.is_empty();
    let blind = look.steady.is_empty() && look.stops.trips == 0 && look.stops.share(Outcome::Runs) > 0.5;
    !looked && ((look.used == 0 && look.stops.night == 0) || single || blind)
}

/// Readings that the array of the record can never give, and no cause that explains them: the recording is hardly of
/// this system, and decides nothing about it.
fn another_system(scorer: &Scorer, order: &[(Cause, f64)]) -> bool {
    order.first().is_some_and(|(c, _)| *c == Cause::Unknown) && !scorer.bounds.passed(scorer.plant).is_empty()
}

/// Hash of a record: the same record always, another record practically never.
pub fn record_hash(system: &System) -> String {
    let text = system.to_toml().unwrap_or_default();
    blake3::hash(text.as_bytes()).to_hex()[..16].to_owned()
}

/// Channels that would speak about a cause and are absent.
fn not_seen(cause: Cause, look: &Look) -> Vec<String> {
    let wanted: &[Channel] = match cause.info().group.as_str() {
        "electrical" if cause == Cause::ReversedRotation => {
            &[Channel::FlowM3H, Channel::WellheadKpa, Channel::WaterLevelM]
        }
        "electrical" => &[Channel::PhaseUA, Channel::OutputV, Channel::FlowM3H],
        "water" | "pump" => &[Channel::FlowM3H, Channel::WellheadKpa, Channel::WaterLevelM, Channel::PhaseUA],
        "array" => &[Channel::IrradianceWM2, Channel::ModuleC],
        _ => &[],
    };
    wanted.iter().filter(|c| !look.has(**c)).map(|c| c.code().to_owned()).collect()
}
