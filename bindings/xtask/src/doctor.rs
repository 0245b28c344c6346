//! `cargo xtask doctor`: what is here, what is not, and what to do about it.

use std::process::ExitCode;

use crate::tools;

/// Prints a line for each tool. Fails when one is missing, so that a script can ask.
pub fn run() -> ExitCode {
    let mut all = true;
    for tool in tools::ALL {
        match tool.found() {
            Ok(version) => println!("found    {:<11} {version}", tool.name),
            Err(why) => {
                all = false;
                println!(
                    "missing  {:<11} {why}; needed for {}; {}",
                    tool.name, tool.needed_for, tool.install
                );
            }
        }
    }
    if all { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
