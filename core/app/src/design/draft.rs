//! A line while it is being written: values, limits and places are gathered, then judged and explained at once.

use std::collections::BTreeMap;

use super::code::Code;
use super::line::{Line, Outcome, Whose, limit_text};
use crate::text::{Words, names};

/// A line while it is being written.
#[derive(Debug)]
#[must_use]
pub struct Draft {
    code: Code,
    value: Option<f64>,
    limit: Option<f64>,
    look_from: Option<f64>,
    whose: Whose,
    missing: Vec<&'static str>,
    places: Vec<(&'static str, String)>,
    from: BTreeMap<&'static str, f64>,
    also: Option<String>,
    within: [Outcome; 2],
}

impl Draft {
    /// A line without a value yet.
    pub fn new(code: Code) -> Draft {
        Draft {
            code,
            value: None,
            limit: None,
            look_from: None,
            whose: code.whose(),
            missing: Vec::new(),
            places: Vec::new(),
            from: BTreeMap::new(),
            also: None,
            within: [Outcome::Pass, Outcome::Fail],
        }
    }

    /// What was found.
    pub fn value(mut self, value: Option<f64>) -> Draft {
        self.value = value.filter(|v| v.is_finite());
        self
    }

    /// The limit.
    pub fn limit(mut self, limit: Option<f64>) -> Draft {
        self.limit = limit;
        self
    }

    /// From where on a person should look.
    pub fn look_from(mut self, value: f64) -> Draft {
        self.look_from = Some(value);
        self
    }

    /// Whose limit, where it is not that of the code.
    pub fn whose(mut self, whose: Whose) -> Draft {
        self.whose = whose;
        self
    }

    /// Fields that the record does not hold.
    pub fn missing(mut self, fields: Vec<&'static str>) -> Draft {
        self.missing = fields;
        self
    }

    /// A place of the texts.
    pub fn place(mut self, name: &'static str, text: impl Into<String>) -> Draft {
        self.places.push((name, text.into()));
        self
    }

    /// A number behind the value.
    pub fn from(mut self, name: &'static str, value: impl Into<Option<f64>>) -> Draft {
        if let Some(v) = value.into().filter(|v| v.is_finite()) {
            self.from.insert(name, v);
        }
        self
    }

    /// A further sentence, said whatever comes out.
    pub fn also(mut self, text: Option<String>) -> Draft {
        self.also = text;
        self
    }

    /// Never worse than this.
    pub fn at_worst(mut self, outcome: Outcome) -> Draft {
        self.within[1] = outcome;
        self
    }

    /// Never better than this.
    pub fn at_best(mut self, outcome: Outcome) -> Draft {
        self.within[0] = outcome;
        self
    }

    fn judged(&self) -> Outcome {
        if !self.missing.is_empty() {
            return Outcome::Look;
        }
        let (Some(value), Some(limit)) = (self.value, self.limit) else {
            return self.within[0].max(Outcome::Look);
        };
        let is = self.code.limit_is();
        let outcome = if is.broken(value, limit) {
            Outcome::Fail
        } else if self.look_from.is_some_and(|l| is.broken(value, l)) {
            Outcome::Look
        } else {
            Outcome::Pass
        };
        outcome.max(self.within[0]).min(self.within[1])
    }

    /// The line, judged and explained.
    pub fn finish(self, words: &Words<'_>) -> Line {
        let verdict = self.judged();
        let (code, unit) = (self.code, self.code.unit());
        let mut line = Line {
            code,
            value: self.value,
            unit,
            limit: self.limit,
            limit_is: code.limit_is(),
            look_from: self.look_from,
            whose: self.whose,
            verdict,
            why: String::new(),
            missing: self.missing,
            from: self.from,
        };
        let mut places: Vec<(&str, &str)> = self.places.iter().map(|(k, v)| (*k, v.as_str())).collect();
        let (value, limit) = (line.value_shown(words), line.limit.map(|l| limit_text(l, unit, words)));
        let limit = limit.unwrap_or_else(|| words.t("design.not_known").to_owned());
        places.extend([("value", value.as_str()), ("limit", limit.as_str())]);
        let mut said = Vec::new();
        if !line.missing.is_empty() {
            let fields: Vec<String> = line.missing.iter().map(|f| names::field(words.texts, f)).collect();
            let id = if line.value.is_some() && line.limit.is_some() {
                "design.missing.usual"
            } else {
                "design.missing"
            };
            said.push(words.fill(id, &[("x", &words.texts.list(&fields))]));
        }
        // a sentence that needs a limit is not said without one
        let needs_limit = words.texts.text(code.texts().how).contains("{limit}");
        if line.value.is_some() && (line.limit.is_some() || !needs_limit) {
            said.push(words.fill(code.texts().how, &places));
        }
        let judged = line.missing.is_empty() && line.value.is_some() && line.limit.is_some();
        let then = match verdict {
            Outcome::Fail if judged => Some(code.texts().fail),
            Outcome::Look if judged => code.texts().look,
            _ => None,
        };
        said.extend(then.map(|id| words.fill(id, &places)));
        said.extend(self.also);
        line.why = said.join(" ");
        line
    }
}
