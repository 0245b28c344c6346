//! How many tests passed and failed, as the runners themselves say.

/// Counts of one suite, or of all.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tally {
    /// Tests that passed.
    pub passed: u32,
    /// Tests that failed.
    pub failed: u32,
}

impl Tally {
    /// Takes a line of a runner's output; what is not a closing count changes nothing.
    pub fn watch(&mut self, line: &str) {
        if let Some(tally) = cargo_test(line).or_else(|| surefire(line)) {
            self.add(tally);
        }
    }

    /// Adds the counts of another suite.
    pub fn add(&mut self, other: Tally) {
        self.passed += other.passed;
        self.failed += other.failed;
    }
}

/// `test result: ok. 12 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.01s`
fn cargo_test(line: &str) -> Option<Tally> {
    let (_, counts) = line.strip_prefix("test result: ")?.split_once(". ")?;
    let count = |name: &str| {
        counts.split(';').find_map(|part| part.trim().strip_suffix(name)?.trim().parse::<u32>().ok())
    };
    Some(Tally { passed: count("passed")?, failed: count("failed")? })
}

/// `[INFO] Tests run: 3, Failures: 0, Errors: 0, Skipped: 0`; the line of one class, which ends with the
/// time it took, is part of that sum and left out.
fn surefire(line: &str) -> Option<Tally> {
    let counts = &line[line.find("Tests run: ")?..];
    if counts.contains("Time elapsed") {
        return None;
    }
    let count = |name: &str| {
        counts.split(',').find_map(|part| part.trim().strip_prefix(name)?.trim().parse::<u32>().ok())
    };
    let run = count("Tests run:")?;
    let failed = count("Failures:")? + count("Errors:")?;
    Some(Tally { passed: run.saturating_sub(failed + count("Skipped:")?), failed })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(lines: &[&str]) -> Tally {
        let mut tally = Tally::default();
        for line in lines {
            tally.watch(line);
        }
        tally
    }

    #[test]
    fn sums_the_lines_of_cargo_test() {
        let tally = of(&[
            "running 12 tests",
            "test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s",
            "test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.10s",
        ]);
        assert_eq!(tally, Tally { passed: 15, failed: 2 });
    }

    #[test]
    fn takes_the_sum_of_surefire_once() {
        let tally = of(&[
            "[INFO] Tests run: 2, Failures: 0, Errors: 0, Skipped: 0, Time elapsed: 9.1 s -- in wellwright.SmokeTest",
            "[ERROR] Tests run: 7, Failures: 1, Errors: 2, Skipped: 1",
        ]);
        assert_eq!(tally, Tally { passed: 3, failed: 3 });
    }

    #[test]
    fn other_lines_do_not_count() {
        let lines = [
            "test result: unclear",
            "12 passed, 0 failed",
            "Tests run: many, Failures: 0",
            "",
            "test a ... ok",
        ];
        assert_eq!(of(&lines), Tally::default());
    }
}
