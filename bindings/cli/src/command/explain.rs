//! `explain`: causes for recorded data, checks made by hand, or both.

use wellwright_app::AppError;
use wellwright_app::assess::{Question, assess};
use wellwright_app::report::page_view;
use wellwright_domain::finding::Verdict;

use crate::args::{Common, ExplainArgs};
use crate::command::deliver;
use crate::progress::while_doing;
use crate::{SOMETHING_WRONG, files};

/// Runs it.
pub fn run(a: &ExplainArgs, common: &Common) -> Result<u8, AppError> {
    let (system, _) = files::system(&a.system)?;
    let told = files::checks(a.checks.as_deref())?;
    let samples = match &a.telemetry {
        Some(path) => while_doing("Reading the telemetry", || files::telemetry(path))?.samples,
        None => Vec::new(),
    };
    let mut baseline = system.baseline.clone();
    if let Some(path) = &a.baseline {
        files::telemetry(path)?;
        baseline = Some(path.display().to_string());
    }
    let question = Question {
        system: &system,
        samples: &samples,
        told: &told,
        baseline: baseline.as_deref(),
        without: &a.without,
    };
    let assessment = while_doing("Ranking the causes", || assess(&question))?;
    let view = page_view(&system, &samples, assessment.finding.clone(), None, &common.words())?;
    deliver::answer(&assessment, &view, a.report.as_deref(), common)?;
    let wrong = a.status && assessment.finding.verdict == Verdict::Fault;
    Ok(if wrong { SOMETHING_WRONG } else { 0 })
}
