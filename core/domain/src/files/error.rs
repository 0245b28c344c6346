//! One error for every file at the edge: always one line, always with what would be right.

use std::fmt;

/// What is wrong with one field, before it is known where in a file the field stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fault {
    /// Path of the field, for example `pump.curve[2]`; empty when the whole file is meant.
    pub field: String,
    /// What is wrong.
    pub problem: String,
    /// What is allowed.
    pub allowed: Option<String>,
    /// The nearest known word, and whether it is near enough to be what was meant.
    pub nearest: Option<(String, bool)>,
}

impl Fault {
    /// A fault of a field.
    pub fn new(field: impl Into<String>, problem: impl Into<String>) -> Fault {
        Fault { field: field.into(), problem: problem.into(), ..Fault::default() }
    }

    /// The same with what is allowed.
    #[must_use]
    pub fn allowed(mut self, allowed: impl Into<String>) -> Fault {
        self.allowed = Some(allowed.into());
        self
    }

    /// The same with the nearest of the known words.
    #[must_use]
    pub fn nearest_of<'a>(mut self, word: &str, known: impl IntoIterator<Item = &'a str>) -> Fault {
        self.nearest = super::nearest::nearest(word, known).map(|(w, near)| (w.to_owned(), near));
        self
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut text = String::new();
        if !self.field.is_empty() {
            text.push_str(&self.field);
            text.push_str(": ");
        }
        text.push_str(&self.problem);
        if let Some(allowed) = &self.allowed {
            text.push_str("; ");
            text.push_str(allowed);
        }
        match &self.nearest {
            Some((word, true)) => text.extend(["; did you mean `", word, "`?"]),
            Some((word, false)) => text.extend(["; the nearest known is `", word, "`"]),
            None => {}
        }
        // What a file holds may hold line breaks and terminal codes; the message stays one plain line.
        f.write_str(&text.replace(char::is_control, " "))
    }
}

impl std::error::Error for Fault {}

/// A file that was refused: `FILE:LINE: field: what is wrong; what is allowed; did you mean ...?`
///
/// Nothing of the file was taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{}: {fault}", .file.replace(char::is_control, " "), .line.map(|l| format!(":{l}")).unwrap_or_default())]
pub struct FileError {
    /// File, as the caller named it.
    pub file: String,
    /// Line, counted from 1; `None` when the whole file is meant.
    pub line: Option<usize>,
    /// What is wrong.
    pub fault: Box<Fault>,
}

impl FileError {
    /// An error of the whole file.
    pub fn whole(file: &str, fault: Fault) -> FileError {
        FileError { file: file.to_owned(), line: None, fault: Box::new(fault) }
    }

    /// An error on a line.
    pub fn on_line(file: &str, line: usize, fault: Fault) -> FileError {
        FileError { file: file.to_owned(), line: Some(line), fault: Box::new(fault) }
    }
}
