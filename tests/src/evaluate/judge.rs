//! One case: made, explained, compared with its answer.

use std::time::Instant;

use serde::Serialize;
use wellwright_diagnosis::explain;
use wellwright_domain::cause::Cause;
use wellwright_domain::check::CheckMade;
use wellwright_domain::finding::{Finding, Verdict};
use wellwright_domain::record::PumpKind;

use super::plan::{Item, Set};
use super::walk::{Walks, walks};
use crate::plant::{Case, make};

/// Explained with the true cause left out of the catalogue.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOut {
    /// First cause.
    pub first: Cause,
    /// Its probability.
    pub probability: f64,
    /// Verdict.
    pub verdict: Verdict,
}

/// A case with what was said of it.
#[derive(Debug, Clone, Serialize)]
pub struct Judged {
    /// Name.
    pub name: String,
    /// Set.
    pub set: Set,
    /// True cause.
    pub cause: Cause,
    /// What it is when the catalogue does not hold it.
    pub outside: Option<&'static str>,
    /// True severity, in the unit of the contract.
    pub severity: Option<f64>,
    /// Sensors.
    pub sensors: &'static str,
    /// Kind of pump.
    pub kind: PumpKind,
    /// Family of the system.
    pub family: &'static str,
    /// Best-point voltage of the array as recorded, V.
    pub array_v: f64,
    /// Its rated power, W.
    pub array_w: f64,
    /// Verdict.
    pub verdict: Verdict,
    /// The first five with their probabilities.
    pub ranked: Vec<(Cause, f64)>,
    /// Place of the true cause, from 1; 99 when it is not in the list.
    pub place: usize,
    /// Probability of the true cause.
    pub probability: f64,
    /// Time of the one look without checks, ms.
    pub explain_ms: f64,
    /// With the cause left out.
    pub left_out: Option<LeftOut>,
    /// With checks.
    pub walks: Option<Walks>,
}

impl Judged {
    /// The first cause and its probability.
    pub fn first(&self) -> (Cause, f64) {
        self.ranked.first().copied().unwrap_or((Cause::Unknown, 0.0))
    }

    /// The true cause stands first.
    pub fn right(&self) -> bool {
        self.place == 1
    }
}

/// What is asked about a case: all that is told there, with the checks made so far.
pub fn question<'a>(case: &'a Case, checks: &'a [CheckMade]) -> wellwright_diagnosis::Case<'a> {
    let told = &case.circumstances;
    wellwright_diagnosis::Case {
        situation: Some(told.situation),
        touched: told.touched.as_deref(),
        noticed: told.noticed.as_deref(),
        checks,
        ..wellwright_diagnosis::Case::new(&case.system)
    }
    .with_samples(&case.samples)
}

/// Explains a case.
///
/// # Panics
/// When the record of a case cannot be computed: a mistake of the plant or of the diagnosis, never to be counted
/// as a miss.
pub fn look(case: &Case, checks: &[CheckMade], left_out: &[Cause]) -> Finding {
    let question = wellwright_diagnosis::Case { left_out, ..question(case, checks) };
    explain(&question).unwrap_or_else(|e| panic!("{}: {e}", case.name))
}

fn left_out(case: &Case) -> LeftOut {
    let finding = look(case, &[], &[case.cause]);
    let (first, probability) = finding.leading().map_or((Cause::Unknown, 0.0), |c| (c.code, c.probability));
    LeftOut { first, probability, verdict: finding.verdict }
}

/// Makes and judges one case.
pub fn judge(item: &Item) -> Judged {
    let case = make(&item.order);
    let begun = Instant::now();
    let finding = look(&case, &[], &[]);
    let explain_ms = begun.elapsed().as_secs_f64() * 1e3;
    let place = finding.causes.iter().position(|c| c.code == case.cause);
    let array = &case.system.array;
    let count = |n: Option<u32>| f64::from(n.unwrap_or(1));
    let array_v = count(array.series) * array.module.vmp_v.unwrap_or(0.0);
    let blameless = !case.cause.is_fault();
    Judged {
        set: item.set,
        cause: case.cause,
        outside: case.outside.map(crate::plant::Outside::word),
        severity: case.severity,
        sensors: case.sensors.word(),
        kind: case.kind,
        family: case.family,
        array_v,
        array_w: array_v * count(array.strings) * array.module.imp_a.unwrap_or(0.0),
        verdict: finding.verdict,
        ranked: finding.causes.iter().take(5).map(|c| (c.code, c.probability)).collect(),
        place: place.map_or(99, |p| p + 1),
        probability: place.map_or(0.0, |p| finding.causes[p].probability),
        explain_ms,
        left_out: (item.left_out && !blameless).then(|| left_out(&case)),
        walks: item.walk.then(|| walks(&case)),
        name: case.name,
    }
}
