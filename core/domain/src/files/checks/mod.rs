//! Checks made by hand, as a file: `*.checks.toml`.
//!
//! What each check asks, and in which unit, stands in the table of checks; the answers are held against
//! it. A missing key is "not asked"; an empty list is "asked, nothing".

mod answer;
mod limits;

use chrono::{DateTime, FixedOffset};
use serde::de::DeserializeOwned;
use serde::de::value::{Error as WordError, StrDeserializer};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{Fault, FileError};
use super::serde_text;
use super::toml_doc::TomlDoc;
use crate::check::{Check, CheckMade};
use crate::situation::{Noticed, Situation, Touched};

/// What the person knows and measured by hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChecksFile {
    /// When in the life of the system; `None` is not asked.
    pub situation: Option<Situation>,
    /// What was worked on; `None` is not asked, empty is nothing.
    pub touched: Option<Vec<Touched>>,
    /// What was noticed; `None` is not asked, empty is nothing.
    pub noticed: Option<Vec<Noticed>>,
    /// The checks, in file order.
    pub checks: Vec<CheckMade>,
}

const KEYS: [&str; 5] = ["schema", "situation", "touched", "noticed", "check"];

/// Reads a checks file. `file_name` is only used in the error.
///
/// # Errors
/// One line: syntax, a newer schema, an unknown key or word, an answer of the wrong kind or one that is
/// impossible. Nothing is half-loaded.
pub fn read_checks(text: &str, file_name: &str) -> Result<ChecksFile, FileError> {
    let doc = TomlDoc::parse(text, file_name)?;
    let mut file = ChecksFile::default();
    for (key, value) in doc.root() {
        match key.get_ref().as_ref() {
            "schema" => {}
            "situation" => file.situation = Some(word(&doc, "situation", value)?),
            "touched" => file.touched = Some(words(&doc, "touched", value)?),
            "noticed" => file.noticed = Some(words(&doc, "noticed", value)?),
            "check" => {
                let list = array(&doc, "check", value, "write each check under [[check]]")?;
                for (i, check) in list.iter().enumerate() {
                    file.checks.push(check_made(&doc, i, check)?);
                }
            }
            other => {
                let fault = Fault::new(other, "unknown key")
                    .allowed(format!("allowed here: {}", KEYS.join(", ")))
                    .nearest_of(other, KEYS);
                return Err(doc.error_at(key.span(), fault));
            }
        }
    }
    Ok(file)
}

type Value<'a> = Spanned<DeValue<'a>>;

fn not(doc: &TomlDoc, path: &str, value: &Value, what: &str, allowed: &str) -> FileError {
    let problem = format!("`{}` is not {what}", doc.snippet(value.span()));
    doc.error_at(value.span(), Fault::new(path, problem).allowed(allowed))
}

fn array<'v, 'a>(
    doc: &TomlDoc,
    path: &str,
    value: &'v Value<'a>,
    hint: &str,
) -> Result<&'v [Value<'a>], FileError> {
    match value.get_ref() {
        DeValue::Array(list) => Ok(list),
        _ => Err(not(doc, path, value, "a list", hint)),
    }
}

fn word<T: DeserializeOwned>(doc: &TomlDoc, path: &str, value: &Value) -> Result<T, FileError> {
    let text =
        value.get_ref().as_str().ok_or_else(|| not(doc, path, value, "a word", "write it in quotes"))?;
    T::deserialize(StrDeserializer::<WordError>::new(text))
        .map_err(|e| doc.error_at(value.span(), serde_text::explain(path, &e.to_string(), text)))
}

fn words<T: DeserializeOwned + PartialEq>(
    doc: &TomlDoc,
    path: &str,
    value: &Value,
) -> Result<Vec<T>, FileError> {
    let mut list = Vec::new();
    for (i, item) in array(doc, path, value, "write a list of words in [ ]")?.iter().enumerate() {
        let item = word(doc, &format!("{path}[{i}]"), item)?;
        if !list.contains(&item) {
            list.push(item);
        }
    }
    Ok(list)
}

fn check_made(doc: &TomlDoc, index: usize, value: &Value) -> Result<CheckMade, FileError> {
    let here = format!("check[{index}]");
    let table: &DeTable = value
        .get_ref()
        .as_table()
        .ok_or_else(|| not(doc, &here, value, "a table", "write each check under [[check]]"))?;
    let Some(code) = table.get("code") else {
        let fault = Fault::new(format!("{here}.code"), "missing").allowed("required: the code of the check");
        return Err(doc.error_at(value.span(), fault));
    };
    let check = check_code(doc, &format!("{here}.code"), code)?;
    let mut made = CheckMade { check, at: None, answers: std::collections::BTreeMap::new() };
    for (key, value) in table {
        let path = format!("{here}.{}", key.get_ref());
        match key.get_ref().as_ref() {
            "code" => {}
            "at" => made.at = Some(instant(doc, &path, value)?),
            name => {
                let fields = &check.info().fields;
                let Some((_, kind)) = fields.iter().find(|(f, _)| f == name) else {
                    let known: Vec<&str> =
                        ["code", "at"].into_iter().chain(fields.iter().map(|(f, _)| f.as_str())).collect();
                    let fault = Fault::new(path, format!("unknown key for {}", check.code()))
                        .allowed(format!("allowed here: {}", known.join(", ")))
                        .nearest_of(name, known.iter().copied());
                    return Err(doc.error_at(key.span(), fault));
                };
                let written = doc.snippet(value.span());
                let answer = answer::read(name, kind, value.get_ref(), &written)
                    .map_err(|fault| doc.error_at(value.span(), Fault { field: path, ..fault }))?;
                made.answers.insert(name.to_owned(), answer);
            }
        }
    }
    if let Some(fault) = answer::incomplete(&made) {
        return Err(doc.error_at(value.span(), Fault { field: here, ..fault }));
    }
    Ok(made)
}

fn check_code(doc: &TomlDoc, path: &str, value: &Value) -> Result<Check, FileError> {
    let text = value.get_ref().as_str().unwrap_or_default();
    Check::from_code(text).ok_or_else(|| {
        let known = Check::ALL.iter().map(|c| c.code());
        let fault = Fault::new(path, format!("`{}` is not a known check", doc.snippet(value.span())))
            .nearest_of(text, known);
        doc.error_at(value.span(), fault)
    })
}

fn instant(doc: &TomlDoc, path: &str, value: &Value) -> Result<DateTime<FixedOffset>, FileError> {
    let text = match value.get_ref() {
        DeValue::String(s) => s.to_string(),
        DeValue::Datetime(d) => d.to_string(),
        _ => String::new(),
    };
    DateTime::parse_from_rfc3339(&text).map_err(|_| {
        not(doc, path, value, "an RFC 3339 time with offset", "write it such as \"2026-03-14T10:20:00Z\"")
    })
}
