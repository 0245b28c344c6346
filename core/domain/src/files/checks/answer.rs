//! One answer: of the right kind, possible, and enough to mean something.

use toml::de::DeValue;

use super::limits::{self, Limit};
use crate::cause::Cause;
use crate::check::{Answer, Check, CheckMade, FieldKind};
use crate::files::Fault;
use crate::flags::{Flag, Flags, PumpState};

/// The answer in `value`; `written` is how it stands in the file. The fault does not name the field.
pub(super) fn read(field: &str, kind: &FieldKind, value: &DeValue, written: &str) -> Result<Answer, Fault> {
    match kind {
        FieldKind::Bool => value
            .as_bool()
            .map(Answer::Bool)
            .ok_or_else(|| not(written, "yes or no").allowed("write true or false, without quotes")),
        FieldKind::Number(unit) => number(field, unit, value, written).map(Answer::Number),
        FieldKind::List(unit) => {
            let list = value.as_array().ok_or_else(|| {
                not(written, "a list").allowed(format!("write a list in [ ], each in {unit}"))
            })?;
            if list.is_empty() {
                return Err(Fault::new("", "empty list").allowed("one value for each string of the array"));
            }
            let each = |v: &toml::Spanned<DeValue>| number(field, unit, v.get_ref(), &shown(v.get_ref()));
            list.iter().map(each).collect::<Result<_, _>>().map(Answer::List)
        }
        FieldKind::State => {
            let known = PumpState::ALL.map(PumpState::code);
            word(value, written, "state", &known, PumpState::from_code).map(Answer::State)
        }
        FieldKind::Flags => {
            let tokens = value.as_str().ok_or_else(|| {
                not(written, "flags").allowed("write the tokens in quotes, separated by spaces")
            })?;
            Flags::from_tokens(tokens)
                .map(Answer::Flags)
                .map_err(|token| unknown(&token, "flag", &Flag::ALL.map(Flag::code)))
        }
        FieldKind::Cause => {
            let text = text(value, written)?;
            Cause::from_code(text).map(Answer::Cause).ok_or_else(|| {
                Fault::new("", format!("`{text}` is not a known cause"))
                    .nearest_of(text, Cause::ALL.iter().map(|c| c.code()))
            })
        }
        FieldKind::Word(words) => {
            let known: Vec<&str> = words.iter().map(String::as_str).collect();
            word(value, written, "word", &known, |w| known.contains(&w).then(|| w.to_owned()))
                .map(Answer::Word)
        }
    }
}

/// What is missing from a check so that it would say something; `None` when it says enough.
pub(super) fn incomplete(made: &CheckMade) -> Option<Fault> {
    let fields = || made.check.info().fields.iter().map(|(f, _)| f.as_str()).collect::<Vec<_>>().join(", ");
    if made.answers.is_empty() {
        return Some(
            Fault::new("", format!("{} has no answer", made.check.code()))
                .allowed(format!("at least one of: {}", fields())),
        );
    }
    if made.check != Check::BucketTest {
        return None;
    }
    match (made.number("litres"), made.number("seconds")) {
        (Some(_), Some(seconds)) if seconds > 0.0 => None,
        (Some(_), Some(_)) => {
            Some(Fault::new("", "a bucket cannot fill in 0 s").allowed("seconds must be more than 0"))
        }
        _ => Some(
            Fault::new("", "bucket_test says nothing without both litres and seconds")
                .allowed("no water: litres = 0 and the seconds waited"),
        ),
    }
}

fn number(field: &str, unit: &str, value: &DeValue, written: &str) -> Result<f64, Fault> {
    let Limit { min, max, whole } = limits::of(field, unit);
    let range =
        if whole { format!("a whole number from {min} to {max}") } else { format!("{min} to {max} {unit}") };
    let allowed = format!("allowed: {range}");
    let parsed = match value {
        DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
        DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).ok().map(|n| n as f64),
        _ => None,
    };
    let Some(n) = parsed else { return Err(not(written, "a number").allowed(allowed)) };
    let problem = if !n.is_finite() {
        format!("{written} is not a finite number")
    } else if whole && n.fract() != 0.0 {
        format!("{n} is not a whole number")
    } else if n < 0.0 && min >= 0.0 {
        format!("{n} is negative")
    } else if n < min {
        format!("{n} is too small")
    } else if n > max {
        format!("{n} is too large")
    } else {
        return Ok(n);
    };
    Err(Fault::new("", problem).allowed(allowed))
}

fn text<'v>(value: &'v DeValue, written: &str) -> Result<&'v str, Fault> {
    value.as_str().ok_or_else(|| not(written, "a word").allowed("write it in quotes"))
}

fn word<T>(
    value: &DeValue,
    written: &str,
    what: &str,
    known: &[&str],
    parse: impl Fn(&str) -> Option<T>,
) -> Result<T, Fault> {
    let text = text(value, written)?;
    parse(text).ok_or_else(|| unknown(text, what, known))
}

fn unknown(text: &str, what: &str, known: &[&str]) -> Fault {
    Fault::new("", format!("`{text}` is not a known {what}"))
        .allowed(format!("allowed: {}", known.join(", ")))
        .nearest_of(text, known.iter().copied())
}

fn not(written: &str, what: &str) -> Fault {
    Fault::new("", format!("`{written}` is not {what}"))
}

/// A list's member as written, where it has no text of its own at hand.
fn shown(value: &DeValue) -> String {
    match value {
        DeValue::Float(f) => f.as_str().to_owned(),
        DeValue::Integer(i) => i.as_str().to_owned(),
        DeValue::String(s) => s.chars().take(40).collect(),
        other => other.type_str().to_owned(),
    }
}
