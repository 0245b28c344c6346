//! Reading: line by line, so that neither a long file nor a long line can take the memory.

use std::io::{BufRead, Read};

use super::header::{Column, Header};
use super::{BadRow, ExtraColumn, MAX_BAD_SHARE, Telemetry, order, row};
use crate::files::{Fault, FileError};

/// Longest line that is looked at, bytes; a full row has some 300.
const MAX_LINE: u64 = 1 << 16;

/// Reads a telemetry file. `file_name` is only used in messages.
///
/// A byte order mark, CRLF line ends, blank lines and quoted cells are understood.
///
/// # Errors
/// The file cannot be read, has no header or no rows, its header cannot be understood, or more than
/// [`MAX_BAD_SHARE`] of its rows are malformed. Nothing of it is taken then.
pub fn read_telemetry(input: impl BufRead, file_name: &str) -> Result<Telemetry, FileError> {
    let mut lines = Lines { input, number: 0, file: file_name };
    let header = loop {
        match lines.next()? {
            None => {
                let fault =
                    Fault::new("", "the file is empty").allowed("a header line with `time` comes first");
                return Err(FileError::whole(file_name, fault));
            }
            Some(Line::Text(text)) if text.trim().is_empty() => {}
            Some(Line::Text(text)) => {
                break Header::parse(text.trim_start_matches('\u{feff}'), lines.number, file_name)?;
            }
            Some(Line::Bad(why)) => {
                let fault = Fault::new("", format!("the header is not readable: {why}"))
                    .allowed("UTF-8 text, columns separated by commas");
                return Err(FileError::on_line(file_name, lines.number, fault));
            }
        }
    };
    let mut rows = Vec::new();
    let mut bad = Vec::new();
    let mut count = 0;
    while let Some(line) = lines.next()? {
        match line {
            Line::Text(text) if text.trim().is_empty() => continue,
            Line::Text(text) => match row::parse(&text, lines.number, &header) {
                Ok(row) => rows.push(row),
                Err(row) => bad.push(row),
            },
            Line::Bad(why) => bad.push(BadRow { line: lines.number, column: None, why: why.into() }),
        }
        count += 1;
    }
    let rows = order::keep_rising(rows, &mut bad);
    bad.sort_by_key(|b| b.line);
    refuse_if_hopeless(count, &bad, file_name)?;
    Ok(collect(rows, header, bad, count))
}

fn refuse_if_hopeless(rows: usize, bad: &[BadRow], file: &str) -> Result<(), FileError> {
    let Some(first) = bad.first() else {
        if rows > 0 {
            return Ok(());
        }
        let fault = Fault::new("", "there is a header but no rows").allowed("at least one row is needed");
        return Err(FileError::whole(file, fault));
    };
    let share = bad.len() as f64 / rows as f64;
    if share <= MAX_BAD_SHARE {
        return Ok(());
    }
    let reasons: Vec<String> = bad.iter().take(3).map(BadRow::to_string).collect();
    let fault = Fault::new(
        "",
        format!(
            "{} of {rows} rows are malformed ({:.0} %): {}",
            bad.len(),
            share * 100.0,
            reasons.join("; ")
        ),
    )
    .allowed(format!("at most {:.0} % may be; nothing was taken", MAX_BAD_SHARE * 100.0));
    Err(FileError::on_line(file, first.line, fault))
}

fn collect(rows: Vec<row::Row>, header: Header, bad_rows: Vec<BadRow>, count: usize) -> Telemetry {
    let mut telemetry = Telemetry {
        columns: header
            .columns
            .iter()
            .filter_map(|c| match c {
                Column::Value(channel) => Some(*channel),
                _ => None,
            })
            .collect(),
        has_state: header.columns.contains(&Column::State),
        has_flags: header.columns.contains(&Column::Flags),
        extra: Vec::with_capacity(header.extras()),
        bad_rows,
        rows: count,
        ..Telemetry::default()
    };
    for (column, name) in header.columns.iter().zip(header.names) {
        if matches!(column, Column::Extra(_)) {
            telemetry.extra.push(ExtraColumn { name, cells: Vec::with_capacity(rows.len()) });
        }
    }
    telemetry.warnings = header.warnings;
    telemetry.samples.reserve(rows.len());
    for row in rows {
        telemetry.implausible += row.sample.implausible().count();
        telemetry.samples.push(row.sample);
        for (column, cell) in telemetry.extra.iter_mut().zip(row.extra) {
            column.cells.push(cell);
        }
    }
    telemetry
}

enum Line {
    Text(String),
    Bad(&'static str),
}

struct Lines<'a, R> {
    input: R,
    number: usize,
    file: &'a str,
}

impl<R: BufRead> Lines<'_, R> {
    fn next(&mut self) -> Result<Option<Line>, FileError> {
        let unreadable = |e: std::io::Error, file: &str, line: usize| {
            FileError::on_line(file, line, Fault::new("", format!("the file cannot be read: {e}")))
        };
        let mut bytes = Vec::new();
        let n = (&mut self.input)
            .take(MAX_LINE)
            .read_until(b'\n', &mut bytes)
            .map_err(|e| unreadable(e, self.file, self.number + 1))?;
        if n == 0 {
            return Ok(None);
        }
        self.number += 1;
        if bytes.last() != Some(&b'\n') && n as u64 == MAX_LINE {
            self.input.skip_until(b'\n').map_err(|e| unreadable(e, self.file, self.number))?;
            return Ok(Some(Line::Bad("the line is too long")));
        }
        while bytes.last().is_some_and(|b| matches!(b, b'\n' | b'\r')) {
            bytes.pop();
        }
        Ok(Some(String::from_utf8(bytes).map_or(Line::Bad("the line is not UTF-8 text"), Line::Text)))
    }
}
