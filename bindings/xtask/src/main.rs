//! `cargo xtask`: what a developer and CI do with the workspace, as typed commands.
//!
//! | command | what | file |
//! |---|---|---|
//! | `test [SUITE…]` | every suite that this machine can run, then one closing count | [`test`], [`suite`] |
//! | `doctor` | which tools are here, and how to get those that are not | [`doctor`], [`tools`] |
//! | `bindings kotlin` | the library and its Kotlin half | [`bindings`] |
//! | `evaluate [--sealed]` | how well causes are found, in numbers and a page | [`evaluate`] |
//!
//! A new command is one file and one line in [`main`].

mod bindings;
mod compile;
mod doctor;
mod evaluate;
mod kotlin;
mod place;
mod process;
mod suite;
mod tally;
mod test;
mod tools;

use std::process::ExitCode;

use anyhow::Result;

const USAGE: &str = "\
cargo xtask test [SUITE…]    run every suite that this machine can run, or only those named
cargo xtask doctor           list the tools found and missing, with what to install
cargo xtask bindings kotlin  build the library and generate its Kotlin half
cargo xtask evaluate         judge the ranking on cases with a known cause; --help tells the options";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    match run(&words) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(words: &[&str]) -> Result<ExitCode> {
    match words {
        ["test", suites @ ..] => test::run(suites),
        ["doctor"] => Ok(doctor::run()),
        ["bindings", "kotlin"] => bindings::run(),
        ["evaluate", words @ ..] => evaluate::run(words),
        [] | ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            Ok(ExitCode::SUCCESS)
        }
        _ => {
            eprintln!("xtask: no such command: {}\n\n{USAGE}", words.join(" "));
            Ok(ExitCode::from(2))
        }
    }
}
