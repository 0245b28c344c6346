//! Checks made by hand: stable codes, and what the contract fixes about each.
//!
//! As with causes, the enum is only the list; minutes, tools, cautions and answer fields are read from
//! `contract/checks.csv`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::cause::Cause;
use crate::caution::Caution;
use crate::flags::{Flags, PumpState};

macro_rules! checks {
    ($($variant:ident = $code:literal),* $(,)?) => {
        /// A check at the wellhead. Its code is stable.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[allow(missing_docs)]
        pub enum Check {
            $(#[serde(rename = $code)] $variant,)*
        }

        impl Check {
            /// Every check, in the order of the contract.
            pub const ALL: &'static [Check] = &[$(Check::$variant,)*];

            /// Stable code.
            pub const fn code(self) -> &'static str {
                match self { $(Check::$variant => $code,)* }
            }
        }
    };
}

checks! {
    LookAndListen = "look_and_listen",
    ControllerDisplay = "controller_display",
    DrumRun = "drum_run",
    TankLook = "tank_look",
    BucketTest = "bucket_test",
    WellheadGauge = "wellhead_gauge",
    DeadHeadGauge = "dead_head_gauge",
    ValvePosition = "valve_position",
    WaterLevelSounding = "water_level_sounding",
    RestingLevelSounding = "resting_level_sounding",
    ColumnDrain = "column_drain",
    LeadCurrent = "lead_current",
    ArrayTerminalVoltage = "array_terminal_voltage",
    StringCurrent = "string_current",
    StringOpenVoltage = "string_open_voltage",
    LeadResistance = "lead_resistance",
    InsulationResistance = "insulation_resistance",
    SwapTwoLeads = "swap_two_leads",
    BridgeDryInput = "bridge_dry_input",
    BridgeFloatInput = "bridge_float_input",
    RestartController = "restart_controller",
    WashModules = "wash_modules",
    ClockCompare = "clock_compare",
    DcIsolatorLook = "dc_isolator_look",
    HandheldIrradiance = "handheld_irradiance",
    RecordCount = "record_count",
    ControllerTouch = "controller_touch",
    WaterLook = "water_look",
    PullPump = "pull_pump",
}

/// The answer in one field of a check.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// Yes or no.
    Bool(bool),
    /// A number in the field's unit.
    Number(f64),
    /// Several numbers (one a string of the array).
    List(Vec<f64>),
    /// The controller's state.
    State(PumpState),
    /// The controller's flags.
    Flags(Flags),
    /// A cause found on inspection.
    Cause(Cause),
    /// A word (a place).
    Word(String),
}

/// What kind of answer a field takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FieldKind {
    /// `bool`
    Bool,
    /// A number in this unit.
    Number(String),
    /// A list of numbers in this unit.
    List(String),
    /// State as in telemetry.
    State,
    /// Flag tokens.
    Flags,
    /// A cause code.
    Cause,
    /// One of these words.
    Word(Vec<String>),
}

/// One check that somebody made.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckMade {
    /// Which.
    pub check: Check,
    /// When, on the person's own clock.
    pub at: Option<DateTime<FixedOffset>>,
    /// Answers by field.
    pub answers: BTreeMap<String, Answer>,
}

impl CheckMade {
    /// The number in a field.
    pub fn number(&self, field: &str) -> Option<f64> {
        match self.answers.get(field)? {
            Answer::Number(v) => Some(*v),
            _ => None,
        }
    }

    /// The yes or no in a field.
    pub fn yes(&self, field: &str) -> Option<bool> {
        match self.answers.get(field)? {
            Answer::Bool(v) => Some(*v),
            _ => None,
        }
    }
}

/// What the contract fixes about a check.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckInfo {
    /// The check.
    pub check: Check,
    /// What to do, in one line.
    pub what: String,
    /// Answer fields in order.
    pub fields: Vec<(String, FieldKind)>,
    /// Minutes of one person.
    pub minutes: f64,
    /// Tool; `none` when nothing is needed.
    pub tool: String,
    /// Cautions that stand beside it.
    pub cautions: Vec<Caution>,
    /// Condition under which it is never done, as written.
    pub never_for: String,
}

impl Check {
    /// The check with this code.
    pub fn from_code(code: &str) -> Option<Check> {
        Self::ALL.iter().copied().find(|c| c.code() == code)
    }

    /// What the contract fixes about it.
    pub fn info(self) -> &'static CheckInfo {
        &TABLE[self as usize]
    }
}

static TABLE: LazyLock<Vec<CheckInfo>> = LazyLock::new(|| {
    parse_table(include_str!("../contract/checks.csv")).expect("the table compiled into the program is sound")
});

fn parse_table(text: &str) -> Result<Vec<CheckInfo>, String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| e.to_string())?;
        let [code, what, fields, minutes, tool, caution, never] =
            [0, 1, 2, 3, 4, 5, 6].map(|i| row[i].trim().to_owned());
        rows.push(CheckInfo {
            check: Check::from_code(&code).ok_or_else(|| format!("unknown check {code}"))?,
            what,
            fields: fields.split(';').map(|f| parse_field(f.trim())).collect::<Result<_, _>>()?,
            minutes: minutes.parse().map_err(|e| format!("{code}: {e}"))?,
            tool,
            cautions: caution
                .split(';')
                .map(str::trim)
                .filter(|c| !c.is_empty())
                .map(|c| Caution::from_code(c).ok_or_else(|| format!("unknown caution {c}")))
                .collect::<Result<_, _>>()?,
            never_for: never,
        });
    }
    let in_order = rows.len() == Check::ALL.len() && rows.iter().zip(Check::ALL).all(|(r, c)| r.check == *c);
    if in_order { Ok(rows) } else { Err("the table and the list of checks differ".into()) }
}

fn parse_field(text: &str) -> Result<(String, FieldKind), String> {
    let (name, kind) = text.split_once('=').ok_or_else(|| format!("field {text}"))?;
    let kind = match kind {
        "bool" => FieldKind::Bool,
        "as in telemetry" => FieldKind::State,
        "tokens" => FieldKind::Flags,
        "cause code" => FieldKind::Cause,
        _ if kind.starts_with("list of ") => FieldKind::List(kind["list of ".len()..].to_owned()),
        _ if kind.contains(" or ") => FieldKind::Word(kind.split(" or ").map(str::to_owned).collect()),
        unit => FieldKind::Number(unit.to_owned()),
    };
    Ok((name.to_owned(), kind))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_and_the_contract_agree() {
        let rows = parse_table(include_str!("../contract/checks.csv")).unwrap();
        assert_eq!(rows.len(), Check::ALL.len());
        let bucket = Check::BucketTest.info();
        assert_eq!(bucket.fields[2].1, FieldKind::Word(vec!["wellhead".into(), "outlet".into()]));
        assert_eq!(bucket.cautions, [Caution::Height]);
    }
}
