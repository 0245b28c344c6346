//! One suite and how it ended; the closing report over all of them.

use std::time::Duration;

use crate::tally::Tally;

/// How a suite ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// It ran to its end and all is well. A suite without tests of its own counts none.
    Well(Tally),
    /// It failed: a test, or the building of it, in which case at least one failure is counted.
    Badly(Tally),
    /// It could not run here: the tools that are missing, with what to install.
    Missing(Vec<String>),
}

/// A suite that had its turn.
#[derive(Debug, Clone)]
pub struct Ran {
    /// Name on the command line.
    pub name: &'static str,
    /// How it ended.
    pub ending: Ending,
    /// How long it took.
    pub took: Duration,
}

impl Ending {
    /// From the runner's exit and counts: a failure always counts, and a suite of tests that ran none failed.
    pub fn of(ended_well: bool, tally: Tally, has_tests: bool) -> Ending {
        if ended_well && tally.failed == 0 && (tally.passed > 0 || !has_tests) {
            Ending::Well(tally)
        } else {
            Ending::Badly(Tally { failed: tally.failed.max(1), ..tally })
        }
    }
}

/// The report over all suites: lines to print, the last one being the closing count; and whether all is well.
///
/// `strict`: a suite that could not run is a failure (CI).
pub fn closing(suites: &[Ran], strict: bool) -> (Vec<String>, bool) {
    let mut sum = Tally::default();
    let mut well = true;
    let mut lines = vec![String::new()];
    let mut missing = Vec::new();
    for Ran { name, ending, took } in suites {
        let seconds = took.as_secs();
        match ending {
            Ending::Well(tally) if *tally == Tally::default() => {
                lines.push(format!("{name:<8} ok, {seconds} s"));
            }
            Ending::Well(tally) => {
                lines.push(format!("{name:<8} ok, {} tests, {seconds} s", tally.passed));
                sum.add(*tally);
            }
            Ending::Badly(tally) => {
                let Tally { passed, failed } = tally;
                lines.push(format!("{name:<8} FAILED, {failed} failed, {passed} passed, {seconds} s"));
                sum.add(*tally);
                well = false;
            }
            Ending::Missing(tools) => {
                lines.push(format!("{name:<8} not run"));
                missing.extend(tools.iter().map(|tool| format!("{name} was not run: {tool}")));
                if strict {
                    sum.failed += 1;
                    well = false;
                }
            }
        }
    }
    lines.extend(missing);
    lines.push(format!("{} passed, {} failed", sum.passed, sum.failed));
    (lines, well)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ran(name: &'static str, ending: Ending) -> Ran {
        Ran { name, ending, took: Duration::from_secs(3) }
    }

    fn tally(passed: u32, failed: u32) -> Tally {
        Tally { passed, failed }
    }

    #[test]
    fn the_last_line_is_the_sum() {
        let suites = [
            ran("rust", Ending::of(true, tally(40, 0), true)),
            ran("kotlin", Ending::of(false, tally(1, 2), true)),
        ];
        let (lines, well) = closing(&suites, false);
        assert_eq!(lines.last().unwrap(), "41 passed, 2 failed");
        assert!(!well);
    }

    #[test]
    fn what_does_not_build_counts_as_a_failure() {
        assert_eq!(Ending::of(false, tally(0, 0), true), Ending::Badly(tally(0, 1)));
        assert_eq!(Ending::of(false, tally(0, 0), false), Ending::Badly(tally(0, 1)));
    }

    #[test]
    fn a_suite_that_ran_no_test_failed() {
        assert_eq!(Ending::of(true, tally(0, 0), true), Ending::Badly(tally(0, 1)));
        assert_eq!(Ending::of(true, tally(0, 0), false), Ending::Well(tally(0, 0)));
    }

    #[test]
    fn a_missing_tool_is_named_and_fails_only_where_it_must() {
        let suites = [
            ran("rust", Ending::of(true, tally(40, 0), true)),
            ran("kotlin", Ending::Missing(vec!["mvn is missing: install Maven".into()])),
        ];
        let (lines, well) = closing(&suites, false);
        assert!(well);
        assert!(lines.iter().any(|line| line == "kotlin was not run: mvn is missing: install Maven"));
        assert_eq!(lines.last().unwrap(), "40 passed, 0 failed");
        let (lines, well) = closing(&suites, true);
        assert!(!well);
        assert_eq!(lines.last().unwrap(), "40 passed, 1 failed");
    }
}
