//! The verdict that goes out: ranked causes with evidence, and the next checks (findings JSON).

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::baseline::BaselineUse;
use crate::cause::Cause;
use crate::caution::Caution;
use crate::check::Check;

/// The verdict over all causes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Everything agrees with the record.
    Healthy,
    /// One or a few causes stand out.
    Fault,
    /// Stopped for a reason that is meant to stop it.
    StandingBy,
    /// The evidence cannot decide.
    TooLittle,
}

/// What held the pump where it was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Regime {
    /// The array gives all it can.
    SunLimited,
    /// At the highest speed.
    SpeedLimited,
    /// At the phase current limit.
    CurrentLimited,
    /// The motor's own voltage meets what the DC side can give.
    VoltageLimited,
    /// At the power limit.
    PowerLimited,
    /// Held back by heat.
    HeatLimited,
    /// Starting and stopping.
    Cycling,
    /// Not running.
    Stopped,
}

/// What must be done before anything else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DoFirst {
    /// Running on would destroy the pump.
    StopNow,
}

/// The stretch of telemetry that was looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Window {
    /// First row that was looked at: of a long recording only the last days are.
    pub from: Option<DateTime<FixedOffset>>,
    /// Last row.
    pub to: Option<DateTime<FixedOffset>>,
    /// Rows given.
    pub rows: usize,
    /// Rows that entered the arithmetic.
    pub used: usize,
    /// Rows left out.
    pub set_aside: usize,
}

/// A value in evidence: number, text or yes/no.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum EvidenceValue {
    /// Yes or no.
    Bool(bool),
    /// A number in the evidence's unit.
    Number(f64),
    /// A word or code.
    Text(String),
}

/// One piece of evidence for or against a cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// The channel it was measured on.
    pub channel: Option<String>,
    /// Or the check, `lead_map` or `situation`.
    pub check: Option<String>,
    /// What held the pump during it.
    pub regime: Regime,
    /// Unit of the values.
    pub unit: Option<String>,
    /// What was measured.
    pub measured: Option<EvidenceValue>,
    /// What a healthy system would show now.
    pub if_healthy: Option<EvidenceValue>,
    /// What this cause would show.
    pub if_cause: Option<EvidenceValue>,
    /// Spread of the comparison, 1 sigma, in the unit.
    pub sigma: Option<f64>,
    /// log2 likelihood of this cause over the mixture of the others, this piece alone.
    pub weight_bits: f64,
}

/// How bad it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Severity {
    /// Most probable value.
    pub value: f64,
    /// 80 % interval.
    pub interval: [f64; 2],
    /// Unit as in the table of causes.
    pub unit: String,
    /// `record_mismatch` only: what differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
}

/// One cause with its probability.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RankedCause {
    /// Code.
    pub code: Cause,
    /// 0 to 1; all causes sum to 1.
    pub probability: f64,
    /// How bad.
    pub severity: Option<Severity>,
    /// Strongest first.
    pub evidence: Vec<Evidence>,
    /// Channels and checks that would speak but are absent.
    pub not_seen: Vec<String>,
}

/// Two causes that together explain clearly more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CausePair {
    /// The two.
    pub codes: [Cause; 2],
    /// Probability of the pair, inside the sum of 1.
    pub probability: f64,
    /// How much better it explains than the best single cause.
    pub bits_over_best_single: f64,
}

/// A check worth making next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NextCheck {
    /// Code.
    pub code: Check,
    /// Minutes of one person; a whole number is written without a fraction.
    #[serde(serialize_with = "whole_if_it_is")]
    pub minutes: f64,
    /// Minutes of one person, tools and crew included.
    pub cost: f64,
    /// Expected information, bits.
    pub expected_bits: f64,
    /// Causes it would part.
    pub separates: Vec<Cause>,
    /// Cautions beside it.
    pub cautions: Vec<Caution>,
    /// Why it is suggested; findings of older versions have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<Why>,
}

/// Why a check is suggested: a text by its id, and the causes that fill its places.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Why {
    /// Id of the sentence in the catalogue.
    pub id: String,
    /// The cause that it is about.
    pub of: Cause,
    /// Causes that the check tells from it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from: Vec<Cause>,
}

/// Two answers, or an answer and a sensor, that cannot both be right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Contradiction {
    /// Stable id of the kind of contradiction; its sentence is in the catalogue.
    pub id: String,
    /// Codes of the channels, checks or answer fields that disagree.
    pub between: [String; 2],
    /// What they say, in `unit`; 1 and 0 for yes and no.
    pub values: [f64; 2],
    /// Unit of the values.
    pub unit: String,
    /// How far they lie apart: a share of the larger one, or in `unit` where `relative` is false.
    pub difference: f64,
    /// True when `difference` is a share.
    pub relative: bool,
}

/// Writes 20 as `20`, as the format has it, and 2.5 as `2.5`.
#[allow(clippy::trivially_copy_pass_by_ref)] // the form that serde calls
fn whole_if_it_is<S: serde::Serializer>(minutes: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    if minutes.fract() == 0.0 && (0.0..=1e9).contains(minutes) {
        serializer.serialize_u64(*minutes as u64)
    } else {
        serializer.serialize_f64(*minutes)
    }
}

/// Which model and which record gave the verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ModelId {
    /// Version of the program's model.
    pub version: String,
    /// Hash of the record.
    pub record_hash: String,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Version of the format.
    pub schema: u32,
    /// Name of the system.
    pub system: String,
    /// What was looked at.
    pub window: Window,
    /// Verdict.
    pub verdict: Verdict,
    /// Stop it now?
    pub do_first: Option<DoFirst>,
    /// What held the pump.
    pub regime: Regime,
    /// Quantities that the record does not hold and that were assumed.
    pub assumed: Vec<String>,
    /// Most probable first; probabilities sum to 1 together with `pairs`.
    pub causes: Vec<RankedCause>,
    /// Two causes at once.
    pub pairs: Vec<CausePair>,
    /// Best first.
    pub next_checks: Vec<NextCheck>,
    /// Answers that contradict each other or the sensors, worst first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contradictions: Vec<Contradiction>,
    /// The recording from a good day that was given besides, and what it added.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub baseline: Option<BaselineUse>,
    /// Provenance.
    pub model: ModelId,
}

impl Finding {
    /// The pair that is more probable than any single cause, if there is one.
    pub fn leading_pair(&self) -> Option<&CausePair> {
        let alone = self.leading().map_or(0.0, |c| c.probability);
        self.pairs.iter().find(|p| p.probability > alone)
    }

    /// How surely nothing is wrong: all is well, the sun is low, or it stands as meant.
    pub fn fine(&self) -> f64 {
        self.causes.iter().filter(|c| c.code.is_sound()).map(|c| c.probability).sum()
    }

    /// What should be acted on first: the most probable cause, or both of a pair that is more probable.
    pub fn to_act_on(&self) -> Vec<&RankedCause> {
        match self.leading_pair() {
            Some(pair) => {
                pair.codes.iter().filter_map(|c| self.causes.iter().find(|r| r.code == *c)).collect()
            }
            None => self.leading().into_iter().collect(),
        }
    }

    /// The most probable cause.
    pub fn leading(&self) -> Option<&RankedCause> {
        self.causes.first()
    }
}
