//! What a recording from a time when all was well added to an answer.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// A baseline as an answer tells of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BaselineUse {
    /// First row that was looked at.
    pub from: Option<DateTime<FixedOffset>>,
    /// Rows given.
    pub rows: usize,
    /// Why it was not used; absent when it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<BaselineRefused>,
    /// What is known better with it, by how much it tells most first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<Narrowed>,
}

/// Why a baseline was not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BaselineRefused {
    /// It holds no steady run with readings to compare.
    NothingToCompare,
    /// A protective stop ends its runs.
    StopsItself,
    /// A healthy system of this record does not read like it.
    NotHealthy,
}

/// A quantity that the baseline narrows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Narrowed {
    /// Stable name of the quantity, such as `head`.
    pub of: String,
    /// Where it lies now from the record, in units of the spread before.
    pub moved: f64,
    /// Spread now over the spread before, 0 to 1.
    pub left: f64,
}
