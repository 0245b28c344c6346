//! What the person knows: situation, what was touched, what was noticed; noisy and sometimes not asked.

use std::fmt::Write as _;

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Situation, Touched};

use super::dice::Dice;
use super::faults::Fault;

/// The person's side of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Circumstances {
    /// When in the life of the system.
    pub situation: Situation,
    /// What was worked on; `None` = not asked.
    pub touched: Option<Vec<Touched>>,
    /// What was noticed; `None` = not asked.
    pub noticed: Option<Vec<Noticed>>,
}

/// All situations, as the priors are ordered.
pub const SITUATIONS: [Situation; 3] = [Situation::FirstStart, Situation::AfterRepair, Situation::InService];

/// Everything that can have been touched.
pub const PARTS: [Touched; 11] = [
    Touched::Joint,
    Touched::Cable,
    Touched::Pump,
    Touched::Motor,
    Touched::Controller,
    Touched::Array,
    Touched::Pipework,
    Touched::Well,
    Touched::Tank,
    Touched::Probe,
    Touched::Sensor,
];

/// Everything that can be noticed.
pub const SIGNS: [Noticed; 8] = [
    Noticed::NoWater,
    Noticed::LessWater,
    Noticed::StopsAndStarts,
    Noticed::Noise,
    Noticed::Hot,
    Noticed::WetGround,
    Noticed::WaterLate,
    Noticed::MuddyWater,
];

/// A situation in which this cause is likely.
pub fn situation_for(cause: Cause, dice: &mut Dice) -> Situation {
    SITUATIONS[dice.weighted(&SITUATIONS.map(|s| cause.prior_weight(s)))]
}

/// Draws what the person tells.
pub fn tell(fault: &Fault, situation: Situation, dice: &mut Dice) -> Circumstances {
    let mut touched = Vec::new();
    if situation == Situation::AfterRepair {
        if !fault.touched.is_empty() && dice.chance(0.7) {
            touched.push(dice.pick(fault.touched));
        }
        if touched.is_empty() || dice.chance(0.3) {
            touched.push(dice.pick(&PARTS));
        }
    }
    touched.sort_by_key(|t| PARTS.iter().position(|p| p == t));
    touched.dedup();
    let mut noticed: Vec<Noticed> =
        fault.noticed.iter().filter(|(_, p)| dice.chance(*p)).map(|(n, _)| *n).collect();
    if noticed.contains(&Noticed::NoWater) {
        noticed.retain(|n| *n != Noticed::LessWater);
    }
    for sign in SIGNS {
        if sign != Noticed::NoWater && !noticed.contains(&sign) && dice.chance(0.02) {
            noticed.push(sign);
        }
    }
    noticed.sort_by_key(|n| SIGNS.iter().position(|s| s == n));
    Circumstances {
        situation,
        touched: dice.chance(0.8).then_some(touched),
        noticed: dice.chance(0.8).then_some(noticed),
    }
}

fn word<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

impl Circumstances {
    /// As a checks file.
    pub fn to_toml(&self) -> String {
        let list = |items: Vec<String>| items.join(", ");
        let mut text = format!("schema = 1\nsituation = {}\n", word(&self.situation));
        if let Some(t) = &self.touched {
            let _ = writeln!(text, "touched = [{}]", list(t.iter().map(word).collect()));
        }
        if let Some(n) = &self.noticed {
            let _ = writeln!(text, "noticed = [{}]", list(n.iter().map(word).collect()));
        }
        text
    }
}
