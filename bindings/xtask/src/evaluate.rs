//! `cargo xtask evaluate`: how well the ranking finds causes, on cases of the independent plant.

use std::process::ExitCode;

use anyhow::{Context, Result};

use crate::place::Place;
use crate::process;

/// Builds the evaluation with optimisation and hands its words on.
pub fn run(words: &[&str]) -> Result<ExitCode> {
    let place = Place::find()?;
    let built = place.built();
    let into = built.parent().context("the build folder has no parent")?.join("evaluation");
    let program = ["run", "--release", "--quiet", "--package", "wellwright-tests", "--bin", "evaluate", "--"];
    let own = if words.contains(&"--into") { vec![] } else { vec!["--into", into.as_str()] };
    let well = process::stream(&place.root, "cargo", &[&program[..], &own, words].concat(), |_| {})?;
    Ok(if well { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
