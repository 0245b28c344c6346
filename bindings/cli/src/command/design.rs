//! `design`: would the system as recorded work and last.

use wellwright_app::AppError;
use wellwright_app::design::design;
use wellwright_app::page::design::render;
use wellwright_app::report::write_file;

use crate::args::{Common, DesignArgs};
use crate::command::deliver;
use crate::term::{self, Ink};
use crate::{files, show};

/// Runs it.
pub fn run(a: &DesignArgs, common: &Common) -> Result<u8, AppError> {
    let (system, _) = files::system(&a.system)?;
    let words = common.words();
    let answer = design(&system, &words)?;
    if common.json {
        deliver::json(&answer)?;
    } else {
        term::out(&show::design::text(&answer, &words, &Ink::stdout()));
    }
    let Some(path) = &a.report else { return Ok(0) };
    write_file(path, &render(&answer, &words))?;
    let said = words.fill("cli.page", &[("x", &path.display().to_string())]);
    if common.json {
        eprintln!("{said}");
    } else {
        term::out(&format!("{said}\n"));
    }
    Ok(0)
}
