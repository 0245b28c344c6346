//! `cargo xtask test`: every suite that this machine can run, then one closing count.

use std::process::ExitCode;
use std::time::Instant;

use anyhow::{Result, bail};

use crate::place::Place;
use crate::suite::{Ending, Ran, closing};
use crate::tally::Tally;
use crate::tools::{self, Tool};
use crate::{compile, kotlin, process};

/// A suite: its name, the tools it needs, and how it runs.
struct Suite {
    name: &'static str,
    needs: &'static [Tool],
    run: fn(&Place) -> Result<Ending>,
}

/// In the order in which they run: what fails soonest first. A new suite is one line here.
const SUITES: &[Suite] = &[
    Suite { name: "format", needs: &[tools::RUST, tools::RUSTFMT], run: format },
    Suite { name: "rust", needs: &[tools::RUST, tools::C_COMPILER], run: rust },
    Suite { name: "lint", needs: &[tools::RUST, tools::C_COMPILER, tools::CLIPPY], run: lint },
    Suite {
        name: "kotlin",
        needs: &[tools::RUST, tools::C_COMPILER, tools::JDK, tools::MAVEN],
        run: kotlin::run,
    },
];

/// Runs the suites that are named, or all; fails when one failed, or could not run where `CI` is `true`.
pub fn run(names: &[&str]) -> Result<ExitCode> {
    if let Some(unknown) = names.iter().find(|name| SUITES.iter().all(|suite| suite.name != **name)) {
        let known: Vec<&str> = SUITES.iter().map(|suite| suite.name).collect();
        bail!("no suite is called {unknown}; there are: {}", known.join(", "));
    }
    let place = Place::find()?;
    let wanted = SUITES.iter().filter(|suite| names.is_empty() || names.contains(&suite.name));
    let suites: Vec<Ran> = wanted.map(|suite| turn(suite, &place)).collect();
    let strict = std::env::var("CI").is_ok_and(|value| value == "true");
    let (lines, well) = closing(&suites, strict);
    println!("{}", lines.join("\n"));
    Ok(if well { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// One suite's turn. An error of our own (a program that cannot be run) is a failure of that suite only.
fn turn(suite: &Suite, place: &Place) -> Ran {
    let began = Instant::now();
    let missing = tools::missing(suite.needs);
    let ending = if missing.is_empty() {
        (suite.run)(place).unwrap_or_else(|error| {
            eprintln!("xtask: suite {}: {error:#}", suite.name);
            Ending::of(false, Tally::default(), true)
        })
    } else {
        Ending::Missing(missing)
    };
    Ran { name: suite.name, ending, took: began.elapsed() }
}

fn format(place: &Place) -> Result<Ending> {
    let well = process::stream(&place.root, "cargo", &["fmt", "--all", "--check"], |_| {})?;
    Ok(Ending::of(well, Tally::default(), false))
}

fn lint(place: &Place) -> Result<Ending> {
    let args = ["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"];
    let well = process::stream(&place.root, "cargo", &args, |_| {})?;
    Ok(Ending::of(well, Tally::default(), false))
}

/// Every test of every crate, and this program's own.
fn rust(place: &Place) -> Result<Ending> {
    if !compile::product(place)? {
        return Ok(Ending::of(false, Tally::default(), true));
    }
    let mut tally = Tally::default();
    let product = [&["test", "--no-fail-fast"], &compile::PRODUCT[..]].concat();
    let mut well = process::stream(&place.root, "cargo", &product, |line| tally.watch(line))?;
    let own = ["test", "--package", "wellwright-xtask"];
    well &= process::stream(&place.root, "cargo", &own, |line| tally.watch(line))?;
    Ok(Ending::of(well, tally, true))
}
