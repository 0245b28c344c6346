//! Judges the ranking on a folder of cases with known causes: `judge_cases DIR [--all]`.
//!
//! DIR holds `answers.csv` (name, cause, …) and for each name `NAME.system.toml`, `NAME.telemetry.csv`,
//! `NAME.checks.toml`. Prints where the true cause came, by cause and sensor set, and the misses.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use wellwright_diagnosis::explain;
use wellwright_tests::files::CaseFiles;

#[derive(Default, Clone, Copy)]
struct Tally {
    cases: usize,
    first: usize,
    three: usize,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let dir = std::env::args().nth(1).ok_or("usage: judge_cases DIR [--all]")?;
    let all = std::env::args().any(|a| a == "--all");
    let dir = Path::new(&dir);
    let mut answers = csv::Reader::from_path(dir.join("answers.csv"))?;
    let head = answers.headers()?.clone();
    let column = |n: &str| head.iter().position(|h| h == n);
    let (name_at, cause_at, sensors_at) = (0, 1, column("sensors").unwrap_or(3));
    let mut tallies: BTreeMap<String, Tally> = BTreeMap::new();
    let mut slowest = 0.0f64;
    for row in answers.records() {
        let row = row?;
        let name = &row[name_at];
        let files = CaseFiles::read(dir, name)?;
        let case = files.case();
        let begun = Instant::now();
        let finding = explain(&case)?;
        let ms = begun.elapsed().as_secs_f64() * 1e3;
        slowest = slowest.max(ms);
        let place = finding.causes.iter().position(|c| c.code.code() == &row[cause_at]).map_or(99, |p| p + 1);
        for key in
            [format!("cause {}", &row[cause_at]), format!("sensors {}", &row[sensors_at]), "all".into()]
        {
            let t = tallies.entry(key).or_default();
            t.cases += 1;
            t.first += usize::from(place == 1);
            t.three += usize::from(place <= 3);
        }
        if all || place > 1 {
            let top: Vec<String> = finding
                .causes
                .iter()
                .take(4)
                .map(|c| format!("{} {:.0}%", c.code.code(), 100.0 * c.probability))
                .collect();
            println!(
                "{name:28} {:22} {:8} #{place:<2} {:?} {}  [{ms:.0} ms]",
                &row[cause_at],
                &row[sensors_at],
                finding.verdict,
                top.join(", ")
            );
        }
    }
    for (key, t) in &tallies {
        println!(
            "{key:36} {:4} cases  first {:5.1} %  in three {:5.1} %",
            t.cases,
            100.0 * t.first as f64 / t.cases as f64,
            100.0 * t.three as f64 / t.cases as f64
        );
    }
    println!("slowest explain {slowest:.0} ms");
    Ok(())
}
