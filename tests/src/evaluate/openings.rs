//! The log of the sealed split: a line for every opening, written before anything is shown.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::process::Command;

use super::oracle::OracleReport;
use super::summary::{Bound, Summary};

/// What git answers, or a dash.
fn git(args: &[&str]) -> String {
    let out = Command::new("git").args(args).current_dir(env!("CARGO_MANIFEST_DIR")).output();
    let text =
        out.ok().filter(|o| o.status.success()).map(|o| String::from_utf8_lossy(&o.stdout).into_owned());
    text.map_or_else(|| "-".into(), |t| t.trim().to_owned())
}

/// The commit that was measured, with a word when files differ from it.
pub fn commit() -> String {
    let changed = git(&["status", "--porcelain", "--untracked-files=no"]);
    let extra = if changed.is_empty() || changed == "-" { "" } else { " with changes" };
    format!("{}{extra}", git(&["rev-parse", "--short", "HEAD"]))
}

/// One line of the table.
pub fn line(date: &str, commit: &str, summary: &Summary, oracle: Option<&OracleReport>) -> String {
    let mut numbers: Vec<String> = summary
        .targets()
        .iter()
        .map(|t| {
            let sign = if t.bound == Bound::AtLeast { "≥" } else { "≤" };
            format!("{} {:.3} ({sign} {:.2})", t.what, t.measured, t.asked)
        })
        .collect();
    if let Some(o) = oracle {
        for (what, both) in [("where the oracle reaches 0.9", &o.told), ("elsewhere", &o.untold)] {
            let (oracle, ranking) = (both.oracle_there.first.share, both.ranking.first.share);
            numbers.push(format!("{what}: oracle first {oracle:.3}, ranking first {ranking:.3}"));
        }
    }
    let p = &summary.plan;
    let sizes = format!("uniform {}, priors {}, healthy {}", p.uniform, p.priors, p.healthy);
    format!("| {date} | {commit} | {} | {sizes} | {} |", p.split.seed(), numbers.join("; "))
}

/// Appends a line for this opening.
///
/// # Errors
/// When the log cannot be written: then nothing may be shown.
pub fn append(log: &Path, summary: &Summary, oracle: Option<&OracleReport>) -> io::Result<()> {
    let date = chrono::Utc::now().format("%Y-%m-%d %H:%M").to_string();
    let mut file = OpenOptions::new().append(true).open(log)?;
    writeln!(file, "{}", line(&date, &commit(), summary, oracle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evaluate::plan::{Plan, Split};

    #[test]
    fn an_opening_adds_one_line_and_a_log_that_is_gone_is_an_error() {
        let summary = Summary::of(&Plan::of(Split::Sealed, 0), &[], 0.0);
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("openings.md");
        assert!(append(&log, &summary, None).is_err());
        std::fs::write(&log, "| date |\n").unwrap();
        append(&log, &summary, None).unwrap();
        append(&log, &summary, None).unwrap();
        let text = std::fs::read_to_string(&log).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 3);
        assert!(lines[1..].iter().all(|l| l.starts_with("| 2") && l.contains("7318500")), "{text}");
    }
}
