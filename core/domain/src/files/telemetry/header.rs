//! The header line: which column is what.

use std::borrow::Cow;

use super::cells;
use crate::channel::Channel;
use crate::files::{Fault, FileError, nearest};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    Time,
    State,
    Flags,
    Value(Channel),
    /// Not known; its place among the extra columns.
    Extra(usize),
}

/// The columns in file order, with their names.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) columns: Vec<Column>,
    pub(super) names: Vec<String>,
    pub(super) warnings: Vec<String>,
}

const KNOWN_WORDS: [&str; 3] = ["time", "state", "flags"];

impl Header {
    pub(super) fn parse(line: &str, number: usize, file: &str) -> Result<Header, FileError> {
        let refuse = |field: &str, problem: String, allowed: &str| {
            FileError::on_line(file, number, Fault::new(field, problem).allowed(allowed))
        };
        let names: Vec<String> = cells::split(line)
            .ok_or_else(|| {
                refuse("", "the header has a quote that is not closed".into(), "close it or remove it")
            })?
            .into_iter()
            .map(Cow::into_owned)
            .collect();
        if names.len() == 1 && line.contains([';', '\t']) {
            return Err(refuse(
                "",
                "the columns are not separated by commas".into(),
                "separate them by commas",
            ));
        }
        let mut header = Header { columns: Vec::new(), names: Vec::new(), warnings: Vec::new() };
        let mut extras = 0;
        for name in names {
            if header.names.contains(&name) {
                return Err(refuse(
                    &name,
                    "the column stands twice in the header".into(),
                    "each column once",
                ));
            }
            let column = match name.as_str() {
                "time" => Column::Time,
                "state" => Column::State,
                "flags" => Column::Flags,
                code => Channel::from_code(code).map_or(Column::Extra(extras), Column::Value),
            };
            if column == Column::Extra(extras) {
                extras += 1;
                header.warnings.push(unknown(&name, number, file));
            }
            header.columns.push(column);
            header.names.push(name);
        }
        if !header.columns.contains(&Column::Time) {
            let near = nearest("time", header.names.iter().map(String::as_str)).filter(|(_, near)| *near);
            let there_is = near.map(|(name, _)| format!(" (there is `{name}`)")).unwrap_or_default();
            let fault = Fault::new("time", format!("the column is missing{there_is}"))
                .allowed("required: the header line first, with `time` in RFC 3339 with offset");
            return Err(FileError::on_line(file, number, fault));
        }
        Ok(header)
    }

    /// How many columns are not known.
    pub(super) fn extras(&self) -> usize {
        self.columns.iter().filter(|c| matches!(c, Column::Extra(_))).count()
    }
}

fn unknown(name: &str, number: usize, file: &str) -> String {
    let known = KNOWN_WORDS.into_iter().chain(Channel::ALL.into_iter().map(Channel::code));
    let fault = Fault::new(name, "unknown column, kept as it is and not used");
    let fault = match nearest(name, known) {
        Some((word, true)) => Fault { nearest: Some((word.to_owned(), true)), ..fault },
        _ => fault,
    };
    FileError::on_line(file, number, fault).to_string()
}
