//! One row: every cell understood, or the reason why the row is set aside.

use std::borrow::Cow;

use chrono::DateTime;

use super::header::{Column, Header};
use super::{BadRow, cells};
use crate::files::nearest;
use crate::flags::{Flag, Flags, PumpState};
use crate::sample::Sample;

/// A row that was understood: its line, the sample, and the cells of unknown columns.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) line: usize,
    pub(super) sample: Sample,
    pub(super) extra: Vec<String>,
}

pub(super) fn parse(text: &str, line: usize, header: &Header) -> Result<Row, BadRow> {
    let whole = |why: String| BadRow { line, column: None, why };
    let cells = cells::split(text).ok_or_else(|| whole("a quote is not closed".into()))?;
    if cells.len() != header.columns.len() {
        return Err(whole(format!("{} cells, the header has {}", cells.len(), header.columns.len())));
    }
    let bad = |i: usize, why: String| BadRow { line, column: Some(header.names[i].clone()), why };
    let time_at = header.columns.iter().position(|c| *c == Column::Time).unwrap_or_default();
    let at = DateTime::parse_from_rfc3339(&cells[time_at]).map_err(|_| {
        bad(time_at, format!("`{}` is not an RFC 3339 time with offset", cut(&cells[time_at])))
    })?;
    let mut row = Row { line, sample: Sample::new(at), extra: Vec::new() };
    for (i, (column, cell)) in header.columns.iter().zip(cells).enumerate() {
        match column {
            Column::Time => {}
            Column::State | Column::Value(_) if cell.is_empty() => {}
            Column::State => {
                let state = PumpState::from_code(&cell)
                    .ok_or_else(|| bad(i, unknown("state", &cell, PumpState::ALL.map(PumpState::code))))?;
                row.sample.state = Some(state);
            }
            Column::Flags => {
                let flags = Flags::from_tokens(&cell)
                    .map_err(|token| bad(i, unknown("flag", &token, Flag::ALL.map(Flag::code))))?;
                row.sample.flags = Some(flags);
            }
            Column::Value(channel) => match cell.parse::<f64>() {
                Ok(v) if v.is_finite() => row.sample.set(*channel, Some(v)),
                Ok(_) => return Err(bad(i, format!("`{}` is not a finite number", cut(&cell)))),
                Err(_) => return Err(bad(i, format!("`{}` is not a number", cut(&cell)))),
            },
            Column::Extra(_) => row.extra.push(Cow::into_owned(cell)),
        }
    }
    Ok(row)
}

fn unknown<const N: usize>(what: &str, token: &str, known: [&'static str; N]) -> String {
    let hint = match nearest(token, known) {
        Some((word, true)) => format!("; did you mean `{word}`?"),
        _ => format!("; allowed: {}", known.join(", ")),
    };
    format!("`{}` is not a known {what}{hint}", cut(token))
}

/// Short enough to stand in a message.
fn cut(cell: &str) -> String {
    let mut short: String = cell.chars().take(40).collect();
    if short.len() < cell.len() {
        short.push_str("...");
    }
    short
}
