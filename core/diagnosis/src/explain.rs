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
use crate::belief::Belief;
use crate::case::Case;
use crate::causes::Hold;
use crate::checks::{Beside, contradictions, counts, is_far, leak_to_ground};
use crate::evidence::evidence;
use crate::next_check::next_checks;
use crate::predict::as_seen::healthy_plant_as_seen;
use crate::predict::sky::Calendar;
use crate::rank::{CauseScore, severity};
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
    let belief = Belief::new(&scorer, &scored, &mut memo);
    let beside = Beside { far: &far, calendar: &calendar, refuted: &refuted };
    let mut finding = finding(&scorer, &belief, &beside);
    finding.assumed = names(&assumed);
    finding.baseline = baseline.map(Baseline::told);
    Ok(finding)
}

/// What is believed of a case, told.
fn finding(scorer: &Scorer, belief: &Belief, beside: &Beside) -> Finding {
    let (case, look, plant) = (scorer.case, scorer.look, scorer.plant);
    let (system, kind) = (case.system, case.system.pump.kind);
    let probability = |c: Cause| belief.of(c);
    let order = belief.order();
    let running = running(look, case.checks);
    let regime = verdict::regime(plant, look, running);
    let regime = held_by(&belief.ranked).filter(|_| regime == Regime::SunLimited).unwrap_or(regime);
    let do_first = verdict::do_first(probability, kind, running);
    let causes = belief.ranked.iter().enumerate().map(|(k, c)| RankedCause {
        code: c.cause,
        probability: c.probability,
        severity: severity(c),
        evidence: if k < TOLD_IN_FULL { evidence(scorer, &belief.ranked, c, regime) } else { Vec::new() },
        not_seen: not_seen(c.cause, look),
    });
    let leak = leak_to_ground(case.checks).filter(|_| belief.of(Cause::InsulationFault) < LEAKS);
    let left_standing = do_first.is_some() || leak.is_some() || better_left_standing(probability, kind);
    let mut said = contradictions(case, look, plant, &scorer.bounds, beside);
    said.extend(leak);
    let decides_nothing = says_too_little(case, look, plant) || another_system(scorer, &order);
    Finding {
        schema: 1,
        system: system.name.clone(),
        window: Window {
            from: look.span.map(|s| s.0),
            to: look.span.map(|s| s.1),
            rows: case.samples.len(),
            used: look.used,
            set_aside: case.samples.len() - look.used,
        },
        verdict: if decides_nothing {
            Verdict::TooLittle
        } else {
            verdict::verdict(probability, &order, regime == Regime::Stopped)
        },
        do_first,
        regime,
        assumed: Vec::new(),
        causes: causes.collect(),
        pairs: belief.pairs.clone(),
        next_checks: next_checks(scorer, &belief.shared_out(), left_standing),
        contradictions: said,
        baseline: None,
        model: ModelId { version: crate::MODEL_VERSION.to_owned(), record_hash: record_hash(system) },
    }
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
