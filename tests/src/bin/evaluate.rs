//! `evaluate [--sealed] [--cases N] [--mix priors|uniform] [--no-checks] [--threads N] [--into DIR] [--json FILE]`:
//! judges the ranking on cases of the independent plant and writes numbers and a page.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;
use std::{env, fs, io};

use serde::Serialize;
use wellwright_tests::evaluate::oracle::{OraclePlan, OracleReport, oracle};
use wellwright_tests::evaluate::{Judged, Plan, Split, Summary, judge, openings, page, words, work};
use wellwright_tests::plant::Mix;

const USAGE: &str = "\
usage: cargo xtask evaluate [--sealed] [--cases N] [--mix priors|uniform] [--no-checks] [--threads N]
                            [--oracle] [--sites N] [--references N] [--asked N] [--into DIR] [--json FILE]
  --sealed     the sealed split at full size; the opening is logged in tests/evaluation/openings.md
  --cases N    so many cases of the uniform mix; the other sets follow; 0 for none
  --mix M      only one mix
  --no-checks  telemetry and situation alone
  --threads N  default: as many as the machine has
  --oracle     also ask the true plant, at N sites (4) with N references of each cause (200); the ranking is
               asked about N of those (12)
  --into DIR   where the page and the numbers go; default target/evaluation
  --json FILE  the numbers there instead";

struct Wanted {
    plan: Plan,
    threads: usize,
    into: PathBuf,
    json: Option<PathBuf>,
    oracle: Option<OraclePlan>,
}

fn parse(mut words: impl Iterator<Item = String>) -> Option<Wanted> {
    let (mut split, mut cases, mut mix, mut checks) = (Split::Development, None, None, true);
    let (mut ask, mut sites, mut references, mut asked) = (false, 4, 200, 12);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent()?;
    let mut wanted = (work::threads(), root.join("target/evaluation"), None);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--sealed" => split = Split::Sealed,
            "--cases" => cases = Some(words.next()?.parse().ok().filter(|n| *n <= 1_000_000)?),
            "--mix" => {
                mix = Some(match words.next()?.as_str() {
                    "priors" => Mix::Priors,
                    "uniform" => Mix::Uniform,
                    _ => return None,
                });
            }
            "--no-checks" => checks = false,
            "--oracle" => ask = true,
            "--sites" => sites = words.next()?.parse().ok().filter(|n| (1..=100).contains(n))?,
            "--asked" => asked = words.next()?.parse().ok()?,
            "--references" => references = words.next()?.parse().ok().filter(|n| (5..=1000).contains(n))?,
            "--threads" => wanted.0 = words.next()?.parse().ok().filter(|n| (1..=256).contains(n))?,
            "--into" => wanted.1 = words.next()?.into(),
            "--json" => wanted.2 = Some(words.next()?.into()),
            _ => return None,
        }
    }
    let mut plan = cases.map_or_else(|| Plan::usual(split), |n| Plan::of(split, n));
    if let Some(mix) = mix {
        plan = plan.only(mix);
    }
    if !checks {
        plan = plan.without_checks();
    }
    let oracle = ask.then_some(OraclePlan { split, sites, references, asked });
    Some(Wanted { plan, threads: wanted.0, into: wanted.1, json: wanted.2, oracle })
}

#[derive(Serialize)]
struct Report<'a> {
    commit: &'a str,
    summary: &'a Summary,
    oracle: Option<&'a OracleReport>,
    cases: &'a [Judged],
}

fn run(wanted: &Wanted) -> io::Result<()> {
    let begun = Instant::now();
    let items = wanted.plan.items();
    eprintln!("{} cases on {} threads", items.len(), wanted.threads);
    let cases = work::parallel("cases", &items, wanted.threads, judge);
    let summary = Summary::of(&wanted.plan, &cases, begun.elapsed().as_secs_f64());
    let asked = wanted.oracle.as_ref().map(|plan| oracle(plan, wanted.threads));
    if wanted.plan.split == Split::Sealed {
        let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("evaluation/openings.md");
        openings::append(&log, &summary, asked.as_ref())?;
    }
    fs::create_dir_all(&wanted.into)?;
    let name = if wanted.plan.split == Split::Sealed { "sealed" } else { "development" };
    let commit = openings::commit();
    let json = wanted.json.clone().unwrap_or_else(|| wanted.into.join(format!("{name}.json")));
    let report = Report { commit: &commit, summary: &summary, oracle: asked.as_ref(), cases: &cases };
    fs::write(&json, serde_json::to_string_pretty(&report).map_err(io::Error::other)? + "\n")?;
    let html = wanted.into.join(format!("{name}.html"));
    fs::write(&html, page::page(&summary, asked.as_ref(), &commit))?;
    print!("{}", words::summary(&summary));
    if let Some(asked) = &asked {
        print!("{}", asked.words());
    }
    println!("numbers {}\npage    {}", json.display(), html.display());
    Ok(())
}

fn main() -> ExitCode {
    if env::args().any(|word| word == "--help") {
        println!("{USAGE}");
        return ExitCode::SUCCESS;
    }
    let Some(wanted) = parse(env::args().skip(1)) else {
        eprintln!("{USAGE}");
        return ExitCode::from(2);
    };
    match run(&wanted) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("evaluate: {error}");
            ExitCode::FAILURE
        }
    }
}
