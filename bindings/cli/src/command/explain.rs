//! `explain`: causes for recorded data, checks made by hand, or both.

use std::path::Path;

use wellwright_app::AppError;
use wellwright_app::assess::{KnownGood, Question, assess};
use wellwright_app::report::page_view;
use wellwright_domain::finding::Verdict;
use wellwright_domain::sample::Sample;

use crate::args::{Common, ExplainArgs};
use crate::command::deliver;
use crate::progress::while_doing;
use crate::{SOMETHING_WRONG, files};

/// Runs it.
pub fn run(a: &ExplainArgs, common: &Common) -> Result<u8, AppError> {
    let inputs =
        [Some(a.system.as_path()), a.telemetry.as_deref(), a.checks.as_deref(), a.baseline.as_deref()];
    files::writable(&[a.report.as_deref()], &inputs)?;
    let (system, _) = files::system(&a.system)?;
    let told = files::checks(a.checks.as_deref())?;
    let samples = match &a.telemetry {
        Some(path) => while_doing("Reading the telemetry", || files::telemetry(path))?.samples,
        None => Vec::new(),
    };
    let (name, good) = baseline(a, system.baseline.as_deref())?;
    let question = Question {
        system: &system,
        samples: &samples,
        told: &told,
        baseline: name.as_deref().map(|name| KnownGood { name, samples: good.as_deref() }),
        without: &a.without,
    };
    let assessment = while_doing("Ranking the causes", || assess(&question))?;
    let view = page_view(&system, &samples, assessment.finding.clone(), None, &common.words())?;
    deliver::answer(&assessment, &view, a.report.as_deref(), common)?;
    let wrong = a.status && assessment.finding.verdict == Verdict::Fault;
    Ok(if wrong { SOMETHING_WRONG } else { 0 })
}

/// Name and rows of the recording from a good day: the one that was asked for, else the one that the record names
/// beside itself. Only one that was asked for must be there.
fn baseline(
    a: &ExplainArgs,
    in_record: Option<&str>,
) -> Result<(Option<String>, Option<Vec<Sample>>), AppError> {
    if let Some(path) = &a.baseline {
        return Ok((Some(path.display().to_string()), Some(files::telemetry(path)?.samples)));
    }
    let Some(name) = in_record else { return Ok((None, None)) };
    let path = a.system.with_file_name(name);
    // a name, not a way to another place
    let beside = Path::new(name).file_name() == Some(name.as_ref());
    let rows = if beside && path.is_file() { Some(files::telemetry(&path)?.samples) } else { None };
    Ok((Some(name.to_owned()), rows))
}
