//! Class values for what a record does not hold.
//!
//! Each is a wide guess for a system of its size (engineering judgement, no single source). Diagnosis widens its spread
//! by the sigma given here where the field moves an answer much, and every answer lists it under `assumed`.

/// One quantity that the record does not hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assumed {
    /// Field of the record, e.g. `well.static_level_m`.
    pub field: &'static str,
    /// The value that was put in its place.
    pub value: f64,
    /// Its spread, 1 sigma, relative to the value (absolute for levels and heights, m).
    pub sigma: f64,
}

/// Collects what was assumed while a plant is built.
#[derive(Debug, Default)]
pub struct Ledger {
    /// In the order in which it was asked for.
    pub entries: Vec<Assumed>,
}

impl Ledger {
    /// The record's value, or `value` with a note that it was assumed.
    pub fn take(&mut self, field: &'static str, record: Option<f64>, value: f64, sigma: f64) -> f64 {
        record.unwrap_or_else(|| {
            self.entries.push(Assumed { field, value, sigma });
            value
        })
    }
}

/// Shape of an ordinary multistage submersible: flow and head over those of the best point, and efficiency
/// over the best (common practice, no single source).
pub const CENTRIFUGAL_SHAPE: [[f64; 3]; 6] = [
    [0.0, 1.28, 0.0],
    [0.35, 1.22, 0.57],
    [0.7, 1.13, 0.9],
    [1.0, 1.0, 1.0],
    [1.3, 0.78, 0.93],
    [1.55, 0.55, 0.75],
];

/// Best efficiency of a small multistage submersible pump end (common practice: 0.40 to 0.65).
pub const CENTRIFUGAL_BEST: f64 = 0.52;
