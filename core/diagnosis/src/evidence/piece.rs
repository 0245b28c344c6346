//! One piece of evidence as it is written.

use wellwright_domain::channel::Channel;
use wellwright_domain::finding::{Evidence, EvidenceValue, Regime};

/// No piece alone is told as stronger than this, bits.
const MOST_BITS: f64 = 60.0;

/// One piece, filled in from left to right.
pub struct Piece(Evidence);

impl Piece {
    fn new(channel: Option<Channel>, check: Option<&str>, regime: Regime, weight: f64) -> Piece {
        Piece(Evidence {
            channel: channel.map(|c| c.code().to_owned()),
            check: check.map(str::to_owned),
            regime,
            unit: None,
            measured: None,
            if_healthy: None,
            if_cause: None,
            sigma: None,
            weight_bits: (weight.clamp(-MOST_BITS, MOST_BITS) * 100.0).round() / 100.0,
        })
    }

    /// What a channel tells, in its own unit. `weight`: bits.
    pub fn of_channel(channel: Channel, regime: Regime, weight: f64) -> Piece {
        Piece::new(Some(channel), None, regime, weight).unit(channel.unit())
    }

    /// What a check or a circumstance tells. `weight`: bits.
    pub fn of_check(check: &str, regime: Regime, weight: f64) -> Piece {
        Piece::new(None, Some(check), regime, weight)
    }

    /// In another unit.
    pub fn unit(mut self, unit: &str) -> Piece {
        self.0.unit = Some(unit.to_owned());
        self
    }

    /// What was measured.
    pub fn measured(mut self, value: impl Into<Value>) -> Piece {
        self.0.measured = value.into().0;
        self
    }

    /// What a healthy system would show.
    pub fn if_healthy(mut self, value: impl Into<Value>) -> Piece {
        self.0.if_healthy = value.into().0;
        self
    }

    /// What this cause would show.
    pub fn if_cause(mut self, value: impl Into<Value>) -> Piece {
        self.0.if_cause = value.into().0;
        self
    }

    /// Spread of the comparison, 1 sigma.
    pub fn sigma(mut self, sigma: f64) -> Piece {
        self.0.sigma = Some(round(sigma));
        self
    }

    /// As it is told.
    pub fn told(self) -> Evidence {
        self.0
    }
}

/// A number, a word, yes or no, or nothing that can be told.
pub struct Value(Option<EvidenceValue>);

impl From<f64> for Value {
    fn from(x: f64) -> Value {
        Value(x.is_finite().then(|| EvidenceValue::Number(round(x))))
    }
}

impl From<Option<String>> for Value {
    fn from(word: Option<String>) -> Value {
        Value(word.map(EvidenceValue::Text))
    }
}

impl From<Option<f64>> for Value {
    fn from(x: Option<f64>) -> Value {
        x.map_or(Value(None), Value::from)
    }
}

impl From<&str> for Value {
    fn from(word: &str) -> Value {
        Value(Some(EvidenceValue::Text(word.to_owned())))
    }
}

impl From<Option<bool>> for Value {
    fn from(yes: Option<bool>) -> Value {
        Value(yes.map(EvidenceValue::Bool))
    }
}

/// Four significant figures: more would claim what no sensor knows.
fn round(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return 0.0;
    }
    let digits = 3 - x.abs().log10().floor() as i32;
    let scale = 10f64.powi(digits);
    (x * scale).round() / scale
}
