//! Reads the published tables.

use std::collections::HashMap;
use std::path::Path;

use chrono::{DateTime, Utc};

/// One row, by column name.
pub struct Row(HashMap<String, String>);

impl Row {
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|e| panic!("{column}: {e}"))
    }

    pub fn time(&self, column: &str) -> DateTime<Utc> {
        self.text(column).parse().unwrap_or_else(|e| panic!("{column}: {e}"))
    }
}

/// All rows of a table; fails when their number is not the one expected, so that none is lost unseen.
pub fn rows(file: &str, expected: usize) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/fixtures/published").join(file);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(&path).unwrap();
    let header = reader.headers().unwrap().clone();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            Row(header.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect())
        })
        .collect();
    assert_eq!(rows.len(), expected, "{file}");
    rows
}

pub fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// Absolute closeness, with a message that names the place.
#[track_caller]
pub fn near(what: &str, got: f64, wanted: f64, tolerance: f64) {
    assert!((got - wanted).abs() <= tolerance, "{what}: got {got}, published {wanted} +- {tolerance}");
}

/// Relative closeness, with an absolute floor.
#[track_caller]
pub fn close(what: &str, got: f64, wanted: f64, relative: f64, floor: f64) {
    near(what, got, wanted, (relative * wanted.abs()).max(floor));
}
