//! The `wellwright` program: commands, terminal output and exit status, nothing else. What it says comes from
//! `wellwright-app`.
//!
//! Exit status: 0 done; 1 something is wrong (only where a command was asked to say so); 2 bad input; 3 no
//! controller or radio.

mod args;
mod command;
mod files;
mod progress;
mod show;
mod term;

use std::process::ExitCode;

use clap::Parser as _;
use clap::error::ErrorKind as ClapErrorKind;
use wellwright_app::{AppError, ErrorKind};

use crate::args::{Args, Command};

/// Asked to say so, a command found something wrong.
const SOMETHING_WRONG: u8 = 1;
const BAD_INPUT: u8 = 2;
const NO_CONTROLLER: u8 = 3;

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(e) if !e.use_stderr() || e.kind() == ClapErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            e.exit()
        }
        Err(e) => {
            eprintln!("wellwright: {}", one_line(&e.to_string()));
            return ExitCode::from(BAD_INPUT);
        }
    };
    let done = match &args.command {
        Command::Try(a) => command::play::run(a, &args.common),
        Command::Find(a) => command::find::run(a, &args.common),
        Command::Follow(a) => command::follow::run(a, &args.common),
        Command::Explain(a) => command::explain::run(a, &args.common),
        Command::Expect(a) => command::expect::run(a, &args.common),
        Command::Design(a) => command::design::run(a, &args.common),
    };
    match done {
        Ok(_) if term::is_lost() => ExitCode::from(BAD_INPUT),
        Ok(status) => ExitCode::from(status),
        Err(e) => {
            eprintln!("wellwright: {e}");
            ExitCode::from(status_of(&e))
        }
    }
}

/// What is wrong with the words of a command, in one line.
fn one_line(text: &str) -> String {
    let lines =
        text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with("For more information"));
    let mut out = String::new();
    for line in lines {
        let line = line.strip_prefix("error: ").unwrap_or(line);
        let joint = match out.chars().last() {
            None => "",
            Some(':') => " ",
            Some(_) => "; ",
        };
        out.push_str(joint);
        out.push_str(line);
    }
    out
}

fn status_of(e: &AppError) -> u8 {
    match e.kind {
        ErrorKind::Radio => NO_CONTROLLER,
        _ => BAD_INPUT,
    }
}
