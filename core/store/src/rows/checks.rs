//! Checks made by hand. A check may be made again; each time is a row of its own.
//!
//! Answers are JSON objects with the kind of answer as the key, `{"litres": {"number": 20.0}}`, so that
//! a number, a list and a word stay what they were.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, Transaction, params};
use serde_json::{Map, Value, json};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::flags::{Flags, PumpState};

use super::{SystemId, instant_if_any, require_system};
use crate::error::{Result, StoreError};
use crate::time;

pub(crate) fn insert(
    tx: &Transaction<'_>,
    system: SystemId,
    made: &CheckMade,
    saved: DateTime<FixedOffset>,
) -> Result<()> {
    require_system(tx, system)?;
    let answers: Map<String, Value> = made.answers.iter().map(|(f, a)| (f.clone(), to_json(a))).collect();
    let at = made.at.map(time::to_stored);
    let (saved_ms, saved_offset) = time::to_stored(saved);
    tx.prepare_cached(
        "INSERT INTO checks_made
         (system_id, code, at_ms, at_offset_min, answers, saved_ms, saved_offset_min)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![
        system.0,
        made.check.code(),
        at.map(|a| a.0),
        at.map(|a| a.1),
        Value::Object(answers).to_string(),
        saved_ms,
        saved_offset
    ])?;
    Ok(())
}

/// Every check made on a system, in the order in which they were saved.
pub(crate) fn all(conn: &Connection, system: SystemId) -> Result<Vec<CheckMade>> {
    let mut statement = conn.prepare_cached(
        "SELECT id, code, at_ms, at_offset_min, answers FROM checks_made WHERE system_id = ?1 ORDER BY id",
    )?;
    let mut rows = statement.query([system.0])?;
    let mut checks = Vec::new();
    while let Some(row) = rows.next()? {
        let id: i64 = row.get(0)?;
        let unreadable = |why: String| StoreError::Unreadable { what: "check", id, why };
        let code: String = row.get(1)?;
        let text: String = row.get(4)?;
        let stored: Map<String, Value> =
            serde_json::from_str(&text).map_err(|e| unreadable(format!("answers: {e}")))?;
        let answers: Option<BTreeMap<String, Answer>> =
            stored.into_iter().map(|(field, value)| from_json(&value).map(|a| (field, a))).collect();
        checks.push(CheckMade {
            check: Check::from_code(&code).ok_or_else(|| unreadable(format!("unknown check {code}")))?,
            at: instant_if_any(row, 2, "check", id)?,
            answers: answers.ok_or_else(|| unreadable(format!("an answer of an unknown kind in {text}")))?,
        });
    }
    Ok(checks)
}

fn to_json(answer: &Answer) -> Value {
    match answer {
        Answer::Bool(v) => json!({ "bool": v }),
        // JSON has no NaN and no infinity: both become null, and null comes back as NaN.
        Answer::Number(v) => json!({ "number": v }),
        Answer::List(v) => json!({ "list": v }),
        Answer::State(v) => json!({ "state": v.code() }),
        Answer::Flags(v) => json!({ "flags": v.to_tokens() }),
        Answer::Cause(v) => json!({ "cause": v.code() }),
        Answer::Word(v) => json!({ "word": v }),
    }
}

fn from_json(value: &Value) -> Option<Answer> {
    let number = |v: &Value| if v.is_null() { Some(f64::NAN) } else { v.as_f64() };
    let (kind, value) = value.as_object().filter(|o| o.len() == 1)?.iter().next()?;
    Some(match kind.as_str() {
        "bool" => Answer::Bool(value.as_bool()?),
        "number" => Answer::Number(number(value)?),
        "list" => Answer::List(value.as_array()?.iter().map(number).collect::<Option<_>>()?),
        "state" => Answer::State(PumpState::from_code(value.as_str()?)?),
        "flags" => Answer::Flags(Flags::from_tokens(value.as_str()?).ok()?),
        "cause" => Answer::Cause(Cause::from_code(value.as_str()?)?),
        "word" => Answer::Word(value.as_str()?.to_owned()),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use wellwright_domain::flags::Flag;

    use super::*;

    #[test]
    fn every_kind_of_answer_comes_back() {
        for answer in [
            Answer::Bool(true),
            Answer::Number(-0.25),
            Answer::List(vec![1.5, 2.0]),
            Answer::State(PumpState::Tripped),
            Answer::Flags(Flags::NONE.with(Flag::DryProbe).with(Flag::CommsLost)),
            Answer::Cause(Cause::from_code("closed_valve").unwrap()),
            Answer::Word("wellhead".into()),
        ] {
            let text = to_json(&answer).to_string();
            assert_eq!(from_json(&serde_json::from_str(&text).unwrap()), Some(answer), "{text}");
        }
        let Some(Answer::Number(v)) = from_json(&to_json(&Answer::Number(f64::INFINITY))) else { panic!() };
        assert!(v.is_nan());
        assert_eq!(from_json(&json!({ "smell": "odd" })), None);
    }
}
