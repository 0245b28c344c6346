//! The answer, in the form that was asked for: text or JSON, and a page.

use std::path::Path;

use wellwright_app::AppError;
use wellwright_app::assess::Assessment;
use wellwright_app::page::PageView;
use wellwright_app::report::write_page;

use crate::args::Common;
use crate::show;
use crate::term::{self, Ink};

/// Prints a finding and writes the page, if one is wanted. What else should be said goes to standard error.
pub fn answer(a: &Assessment, view: &PageView, page: Option<&Path>, common: &Common) -> Result<(), AppError> {
    for line in &a.messages {
        eprintln!("wellwright: {line}");
    }
    if common.json {
        json(&a.finding)?;
    } else {
        let ink = Ink::stdout();
        term::out(&show::finding::text(view, &common.words(), &ink));
    }
    let Some(path) = page else { return Ok(()) };
    write_page(path, view, &common.words())?;
    let words = common.words();
    let said = words.fill("cli.page", &[("x", &path.display().to_string())]);
    if common.json {
        eprintln!("{said}");
    } else {
        term::out(&format!("{said}\n"));
    }
    Ok(())
}

/// Prints a value as JSON, and nothing else.
pub fn json(value: &impl serde::Serialize) -> Result<(), AppError> {
    let text = serde_json::to_string_pretty(value).map_err(|e| {
        AppError::new(
            wellwright_app::ErrorKind::Internal,
            format!("the answer cannot be written as JSON ({e})"),
        )
    })?;
    term::out(&(text + "\n"));
    Ok(())
}
