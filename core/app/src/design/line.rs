//! One line of a design check: what it is about, what it found, whose limit, and what that means.

use std::collections::BTreeMap;

use serde::Serialize;

use super::code::Code;
use crate::text::quantity::DepthUnit;
use crate::text::{Quantity, Words};

/// How a line came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Within the limit.
    Pass,
    /// A person should look: near the limit, or the record does not hold what decides.
    Look,
    /// Beyond the limit.
    Fail,
}

impl Outcome {
    /// All, best first.
    pub const ALL: [Outcome; 3] = [Outcome::Pass, Outcome::Look, Outcome::Fail];

    /// Code, as in files.
    pub const fn code(self) -> &'static str {
        match self {
            Outcome::Pass => "pass",
            Outcome::Look => "look",
            Outcome::Fail => "fail",
        }
    }

    /// The word that a person reads.
    pub fn word<'a>(self, words: &Words<'a>) -> &'a str {
        words.texts.text(match self {
            Outcome::Pass => "design.pass",
            Outcome::Look => "design.look",
            Outcome::Fail => "design.fail",
        })
    }
}

/// Whose limit it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Whose {
    /// The controller's data.
    #[serde(rename = "controller")]
    Controller,
    /// The module's data sheet.
    #[serde(rename = "module")]
    Module,
    /// The motor's data.
    #[serde(rename = "motor")]
    Motor,
    /// The pump's data.
    #[serde(rename = "pump")]
    Pump,
    /// The well.
    #[serde(rename = "well")]
    Well,
    /// The pipe's rating.
    #[serde(rename = "pipe")]
    Pipe,
    /// What the owner needs.
    #[serde(rename = "owner")]
    Owner,
    /// What the trade does; no single source.
    #[serde(rename = "common practice")]
    CommonPractice,
}

impl Whose {
    /// The word that a person reads.
    pub fn word<'a>(self, words: &Words<'a>) -> &'a str {
        words.texts.text(match self {
            Whose::Controller => "design.whose.controller",
            Whose::Module => "design.whose.module",
            Whose::Motor => "design.whose.motor",
            Whose::Pump => "design.whose.pump",
            Whose::Well => "design.whose.well",
            Whose::Pipe => "design.whose.pipe",
            Whose::Owner => "design.whose.owner",
            Whose::CommonPractice => "design.whose.common_practice",
        })
    }
}

/// Which side of the limit is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitIs {
    /// At the limit or below it.
    AtMost,
    /// At the limit or above it.
    AtLeast,
}

impl LimitIs {
    /// True when `value` is on the wrong side of `limit`.
    pub fn broken(self, value: f64, limit: f64) -> bool {
        match self {
            LimitIs::AtMost => value > limit,
            LimitIs::AtLeast => value < limit,
        }
    }
}

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What it is about. Stable.
    pub code: Code,
    /// What was found, in `unit`; null when the record does not hold what it takes.
    pub value: Option<f64>,
    /// Unit of `value`, `limit` and `look_from`.
    pub unit: &'static str,
    /// The limit; null when the record does not hold it.
    pub limit: Option<f64>,
    /// Which side of it is good.
    pub limit_is: LimitIs,
    /// Between this and the limit a person should look.
    pub look_from: Option<f64>,
    /// Whose limit it is.
    pub whose: Whose,
    /// How it came out.
    pub verdict: Outcome,
    /// Why, and what to do about it; for people.
    pub why: String,
    /// Fields that the record does not hold and that this line needs.
    pub missing: Vec<&'static str>,
    /// The numbers behind the value, unit in the name.
    pub from: BTreeMap<&'static str, f64>,
}

impl Line {
    /// Value with its unit, as a person reads it; "not known" without one.
    pub fn value_shown(&self, words: &Words<'_>) -> String {
        self.value.map_or_else(|| words.t("design.not_known").to_owned(), |v| shown(v, self.unit, words))
    }

    /// "at most 450 V"; "not known" without a limit.
    pub fn limit_shown(&self, words: &Words<'_>) -> String {
        let Some(limit) = self.limit else { return words.t("design.not_known").to_owned() };
        let x = limit_text(limit, self.unit, words);
        match self.limit_is {
            LimitIs::AtMost => words.fill("design.at_most", &[("x", &x)]),
            LimitIs::AtLeast => words.fill("design.at_least", &[("x", &x)]),
        }
    }
}

/// A value with its unit in one text, as fine as a design is looked at.
pub fn shown(value: f64, unit: &str, words: &Words<'_>) -> String {
    match unit {
        // a count
        "1" => format!("{value:.0}"),
        "%" if value.abs() < 20.0 => format!("{value:.1}\u{a0}%"),
        "m/s" if words.units.depth == DepthUnit::Feet => format!("{:.2}\u{a0}ft/s", value / 0.3048),
        "m/s" => format!("{value:.2}\u{a0}m/s"),
        _ => words.value(Quantity::of_unit(unit), value),
    }
}

/// A limit with its unit: as [`shown`], without a fraction that says nothing.
pub fn limit_text(limit: f64, unit: &str, words: &Words<'_>) -> String {
    let text = shown(limit, unit, words);
    if unit == "%" { text.replace(".0\u{a0}", "\u{a0}") } else { text }
}
