//! Drop cable and its joints.

use serde::{Deserialize, Serialize};

use super::array::Conductor;
use crate::lead_map::{LeadMap, Parity};

/// Drop cable, from motor to controller.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    /// Conductor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conductor: Option<Conductor>,
    /// Length, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Joints from the motor up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<Joint>,
}

/// One joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Joint {
    /// Depth below the wellhead, m; 0 is at the wellhead.
    pub depth_m: f64,
    /// Which lead goes on to which; absent is unknown.
    #[serde(default)]
    pub map: JointMap,
}

/// A joint's lead map as written: `"unknown"` or three pairs such as `"1-2"` or `"1-u"`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(try_from = "JointMapText", into = "JointMapText")]
pub enum JointMap {
    /// Nobody wrote it down.
    #[default]
    Unknown,
    /// As written, with the permutation it means.
    Known {
        /// The three pairs as written.
        pairs: [String; 3],
        /// The permutation.
        map: LeadMap,
    },
}

#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum JointMapText {
    Word(String),
    Pairs(Vec<String>),
}

impl TryFrom<JointMapText> for JointMap {
    type Error = String;
    fn try_from(text: JointMapText) -> Result<JointMap, String> {
        let pairs = match text {
            JointMapText::Word(w) if w == "unknown" => return Ok(JointMap::Unknown),
            JointMapText::Word(w) => {
                return Err(format!(
                    "`{w}` is not a lead map; write [\"1-1\", \"2-2\", \"3-3\"] or \"unknown\""
                ));
            }
            JointMapText::Pairs(p) => p,
        };
        let n = pairs.len();
        let pairs: [String; 3] =
            pairs.try_into().map_err(|_| format!("a lead map has three pairs, this one has {n}"))?;
        let mut to = [9u8; 3];
        for pair in &pairs {
            let (from, dest) = pair
                .split_once('-')
                .and_then(|(a, b)| Some((lead_index(a)?, lead_index(b)?)))
                .ok_or_else(|| format!("`{pair}` is not a pair such as 1-2 or 1-u"))?;
            if to[usize::from(from)] != 9 {
                return Err(format!("lead {} is joined twice", from + 1));
            }
            to[usize::from(from)] = dest;
        }
        let map = LeadMap::new(to).ok_or("two leads go to the same place")?;
        Ok(JointMap::Known { pairs, map })
    }
}

impl From<JointMap> for JointMapText {
    fn from(m: JointMap) -> JointMapText {
        match m {
            JointMap::Unknown => JointMapText::Word("unknown".into()),
            JointMap::Known { pairs, .. } => JointMapText::Pairs(pairs.into()),
        }
    }
}

/// Index of a lead or terminal: 1, 2, 3 or u, v, w.
fn lead_index(text: &str) -> Option<u8> {
    match text.trim().to_ascii_lowercase().as_str() {
        "1" | "u" => Some(0),
        "2" | "v" => Some(1),
        "3" | "w" => Some(2),
        _ => None,
    }
}

impl Cable {
    /// All joints composed from the motor up; `None` when one is unknown or none is written.
    pub fn composed_map(&self) -> Option<LeadMap> {
        if self.joints.is_empty() {
            return None;
        }
        self.joints.iter().try_fold(LeadMap::STRAIGHT, |acc, j| match &j.map {
            JointMap::Unknown => None,
            JointMap::Known { map, .. } => Some(acc.then(*map)),
        })
    }

    /// Parity of the composed map.
    pub fn parity(&self) -> Option<Parity> {
        self.composed_map().map(LeadMap::parity)
    }
}
