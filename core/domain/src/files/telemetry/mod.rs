//! Telemetry as a file: what the controller and the sensors said, one row a sample.
//!
//! The file may come from any logger, so the reader is patient with rows and strict with the whole: a row
//! that cannot be read is set aside and reported with its line and column; when more than a fifth of the
//! rows are like that, or the header cannot be understood, the file is refused and nothing of it is taken.
//! A value outside its physical range is kept as it was written and counted.

mod cells;
mod header;
mod order;
mod read;
mod row;
mod write;

pub use read::read_telemetry;
pub use write::write_telemetry;

use std::fmt;

use crate::channel::Channel;
use crate::sample::Sample;

/// Largest share of malformed rows with which a file is still taken.
pub const MAX_BAD_SHARE: f64 = 0.2;

/// A row that was set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRow {
    /// Line in the file, counted from 1.
    pub line: usize,
    /// Column at fault; `None` when it is the row as a whole.
    pub column: Option<String>,
    /// What is wrong.
    pub why: String,
}

impl fmt::Display for BadRow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let column = self.column.as_deref().map(|c| format!(", {c}")).unwrap_or_default();
        f.write_str(&format!("line {}{column}: {}", self.line, self.why).replace(char::is_control, " "))
    }
}

/// A column that this version does not know, kept as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExtraColumn {
    /// Name in the header.
    pub name: String,
    /// One cell a sample.
    pub cells: Vec<String>,
}

/// What a telemetry file held.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Telemetry {
    /// The good rows, strictly rising in time.
    pub samples: Vec<Sample>,
    /// Channels that the header names, in its order.
    pub columns: Vec<Channel>,
    /// The header names `state`.
    pub has_state: bool,
    /// The header names `flags`.
    pub has_flags: bool,
    /// Columns that this version does not know.
    pub extra: Vec<ExtraColumn>,
    /// Rows that were set aside, by line.
    pub bad_rows: Vec<BadRow>,
    /// Values in `samples` that lie outside their physical range.
    pub implausible: usize,
    /// Rows in the file, good and bad, without the header and empty lines.
    pub rows: usize,
    /// What should be said, each in one line.
    pub warnings: Vec<String>,
}
