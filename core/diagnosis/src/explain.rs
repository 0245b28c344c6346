//! The one call: a case in, a finding out.

use chrono::{DateTime, FixedOffset};
use thiserror::Error;
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::{Finding, ModelId, RankedCause, Regime, Window};
use wellwright_domain::record::System;
use wellwright_physics::error::PhysicsError;

use crate::case::Case;
use crate::checks::contradictions;
use crate::evidence::evidence;
use crate::next_check::next_checks;
use crate::predict::healthy_plant;
use crate::predict::sky::clear_plane;
use crate::rank::{rank, severity};
use crate::score::Scorer;
use crate::verdict;
use crate::window::Look;

/// Irradiance under a clear sky from which a pump is expected to try, W/m2.
const DAYLIGHT_W_M2: f64 = 120.0;

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
/// Errors: [`DiagnosisError::Record`] when the record's values fit no physics. Empty telemetry is no error:
/// the checks and the situation then speak alone.
pub fn explain(case: &Case) -> Result<Finding, DiagnosisError> {
    let system = case.system;
    let (plant, assumed) = healthy_plant(system)
        .map_err(|source| DiagnosisError::Record { system: system.name.clone(), source })?;
    let sun_up = |at: DateTime<FixedOffset>| clear_plane(&plant, at).is_none_or(|g| g > DAYLIGHT_W_M2);
    let look = Look::new(case.samples, sun_up);
    let scorer = Scorer::new(case, &plant, &assumed, &look);
    let scored = scorer.score_all();
    let ranked = rank(&scored);
    let probability = |c: Cause| ranked.iter().find(|r| r.cause == c).map_or(0.0, |r| r.probability);
    let order: Vec<(Cause, f64)> = ranked.iter().map(|r| (r.cause, r.probability)).collect();
    let regime = verdict::regime(&plant, &look);
    let do_first = verdict::do_first(probability, system.pump.kind, &look);
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
    Ok(Finding {
        schema: 1,
        system: system.name.clone(),
        window: Window {
            from: look.span.map(|s| s.0),
            to: look.span.map(|s| s.1),
            rows: look.rows,
            used: look.used,
            set_aside: look.rows - look.used,
        },
        verdict: verdict::verdict(probability, &order, regime == Regime::Stopped),
        do_first,
        regime,
        assumed: assumed.iter().map(|a| a.field.to_owned()).collect(),
        causes,
        pairs: Vec::new(),
        next_checks: next_checks(&scorer, &ranked, do_first.is_some()),
        contradictions: contradictions(case, &look),
        model: ModelId { version: crate::MODEL_VERSION.to_owned(), record_hash: record_hash(system) },
    })
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
