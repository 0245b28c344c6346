//! The answer: verdict, ranked causes, next checks, with names in words, and the whole of it as JSON.

use wellwright_app::assess::Assessment;
use wellwright_app::text::headline::headline;
use wellwright_app::text::{Words, names};
use wellwright_app::{AppError, ErrorKind};
use wellwright_domain::finding::{self, DoFirst, NextCheck, RankedCause};

/// The verdict over all causes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Verdict {
    /// Everything agrees with the record.
    Healthy,
    /// One or a few causes stand out.
    Fault,
    /// Stopped for a reason that is meant to stop it.
    StandingBy,
    /// The evidence cannot decide.
    TooLittle,
}

impl From<finding::Verdict> for Verdict {
    fn from(verdict: finding::Verdict) -> Verdict {
        match verdict {
            finding::Verdict::Healthy => Verdict::Healthy,
            finding::Verdict::Fault => Verdict::Fault,
            finding::Verdict::StandingBy => Verdict::StandingBy,
            finding::Verdict::TooLittle => Verdict::TooLittle,
        }
    }
}

/// How bad a cause is: most probable value and 80 % interval.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SeverityView {
    /// Most probable value.
    pub value: f64,
    /// Low end.
    pub lo: f64,
    /// High end.
    pub hi: f64,
    /// Unit as in the table of causes.
    pub unit: String,
}

/// One cause.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CauseView {
    /// Stable code.
    pub code: String,
    /// Name in words.
    pub name: String,
    /// 0 to 1; all causes sum to 1.
    pub probability: f64,
    /// How bad, where the cause has a measure.
    pub severity: Option<SeverityView>,
}

/// A check worth making next.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NextCheckView {
    /// Stable code.
    pub code: String,
    /// Name in words.
    pub name: String,
    /// Minutes of one person.
    pub minutes: f64,
    /// Cautions beside it, in words.
    pub cautions: Vec<String>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FindingView {
    /// Name of the system.
    pub system: String,
    /// Verdict.
    pub verdict: Verdict,
    /// Running on would destroy the pump: say so before anything else.
    pub stop_now: bool,
    /// What it comes to, in a few words.
    pub title: String,
    /// One sentence beneath.
    pub text: String,
    /// Most probable first.
    pub causes: Vec<CauseView>,
    /// Best first.
    pub next_checks: Vec<NextCheckView>,
    /// What else should be said, one line each.
    pub notes: Vec<String>,
    /// Everything: findings JSON, with the evidence.
    pub json: String,
}

impl FindingView {
    /// A finding in words.
    pub(crate) fn of(assessment: Assessment, words: &Words<'_>) -> Result<FindingView, AppError> {
        let Assessment { finding, messages } = assessment;
        let json = serde_json::to_string(&finding).map_err(|e| {
            AppError::new(ErrorKind::Internal, format!("the finding cannot be written ({e})"))
        })?;
        let head = headline(words, &finding, None, None);
        Ok(FindingView {
            verdict: finding.verdict.into(),
            stop_now: finding.do_first == Some(DoFirst::StopNow),
            title: head.title,
            text: head.text,
            causes: finding.causes.iter().map(|cause| cause_view(cause, words)).collect(),
            next_checks: finding.next_checks.iter().map(|check| check_view(check, words)).collect(),
            notes: messages,
            system: finding.system,
            json,
        })
    }
}

fn cause_view(cause: &RankedCause, words: &Words<'_>) -> CauseView {
    CauseView {
        code: cause.code.code().to_owned(),
        name: names::cause(words.texts, cause.code),
        probability: cause.probability,
        severity: cause.severity.as_ref().map(|s| SeverityView {
            value: s.value,
            lo: s.interval[0],
            hi: s.interval[1],
            unit: s.unit.clone(),
        }),
    }
}

fn check_view(check: &NextCheck, words: &Words<'_>) -> NextCheckView {
    NextCheckView {
        code: check.code.code().to_owned(),
        name: names::check(words.texts, check.code),
        minutes: check.minutes,
        cautions: check.cautions.iter().map(|caution| names::caution(words.texts, *caution)).collect(),
    }
}
