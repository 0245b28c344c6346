//! A TOML file with the line of every field, so that a refusal can point at it.

use std::ops::Range;

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::error::{Fault, FileError};
use super::serde_text;
use crate::record::SCHEMA;

/// Longest file that is read; a hand-written file is a thousandth of it.
const MAX_BYTES: usize = 1 << 20;

/// A parsed file that knows its name and its lines.
pub(super) struct TomlDoc<'a> {
    file: &'a str,
    text: &'a str,
    root: Spanned<DeTable<'a>>,
}

/// True for `level_m = 60,5`: a number as many people write it, which TOML cannot read.
fn has_decimal_comma(line: &str) -> bool {
    let value =
        line.split_once('=').map_or("", |(_, value)| value).split('#').next().unwrap_or_default().trim();
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    value
        .split_once(',')
        .is_some_and(|(whole, rest)| digits(whole.trim_start_matches(['-', '+'])) && digits(rest))
}

impl<'a> TomlDoc<'a> {
    /// Parses, and refuses what a newer program wrote before anything else of it is judged.
    pub(super) fn parse(text: &'a str, file: &'a str) -> Result<TomlDoc<'a>, FileError> {
        if text.len() > MAX_BYTES {
            let fault = Fault::new("", format!("{} bytes is too long", text.len()))
                .allowed(format!("at most {MAX_BYTES} bytes"));
            return Err(FileError::whole(file, fault));
        }
        let root = DeTable::parse(text).map_err(|e| {
            let fault = Fault::new("", format!("not valid TOML: {}", e.message()));
            let Some(span) = e.span() else { return FileError::whole(file, fault) };
            let line = line_at(text, span.start);
            let written = text.lines().nth(line.saturating_sub(1)).unwrap_or_default();
            let comma = has_decimal_comma(written);
            FileError::on_line(
                file,
                line,
                if comma { fault.allowed("a decimal point: 60.5, not 60,5") } else { fault },
            )
        })?;
        let doc = TomlDoc { file, text, root };
        doc.check_schema()?;
        Ok(doc)
    }

    fn check_schema(&self) -> Result<(), FileError> {
        let Some(value) = self.root().get("schema") else { return Ok(()) };
        let number =
            value.get_ref().as_integer().and_then(|i| i64::from_str_radix(i.as_str(), i.radix()).ok());
        let fault = match number {
            Some(n) if n == i64::from(SCHEMA) => return Ok(()),
            Some(n) if n > i64::from(SCHEMA) => Fault::new(
                "schema",
                format!("{n} was written by a newer program; install a newer version to read it"),
            )
            .allowed(format!("this version reads schema {SCHEMA}")),
            _ => Fault::new("schema", format!("`{}` is not a known schema", self.snippet(value.span())))
                .allowed(format!("this version reads schema {SCHEMA}")),
        };
        Err(self.error_at(value.span(), fault))
    }

    /// The top table.
    pub(super) fn root(&self) -> &DeTable<'a> {
        self.root.get_ref()
    }

    /// An error at a place of the text.
    pub(super) fn error_at(&self, span: Range<usize>, fault: Fault) -> FileError {
        FileError::on_line(self.file, line_at(self.text, span.start), fault)
    }

    /// An error of the field that the fault names, on that field's line.
    pub(super) fn error(&self, fault: Fault) -> FileError {
        let span = self.span_of(&fault.field);
        self.error_at(span, fault)
    }

    /// The line of a field, or of the innermost table that would hold it.
    pub(super) fn line_of(&self, path: &str) -> usize {
        line_at(self.text, self.span_of(path).start)
    }

    fn span_of(&self, path: &str) -> Range<usize> {
        let mut span = 0..0;
        let mut table = Some(self.root());
        let mut array = None;
        for part in path.split(['.', '[']) {
            let value: Option<&Spanned<DeValue>> = if let Some(index) = part.strip_suffix(']') {
                let item = array.and_then(|a: &DeArray| a.get(index.parse::<usize>().ok()?));
                span = item.map_or(span, Spanned::span);
                item
            } else {
                let entry = table.and_then(|t| t.get_key_value(part));
                span = entry.map_or(span, |(key, _)| key.span());
                entry.map(|(_, value)| value)
            };
            let Some(value) = value else { break };
            table = value.get_ref().as_table();
            array = match value.get_ref() {
                DeValue::Array(a) => Some(a),
                _ => None,
            };
        }
        span
    }

    /// What was written at a place, cut to a readable length.
    pub(super) fn snippet(&self, span: Range<usize>) -> String {
        let text = self.text.get(span).unwrap_or_default().trim();
        let text = text.trim_matches(['"', '\'']);
        let mut cut: String = text.chars().take(40).collect();
        if cut.len() < text.len() {
            cut.push_str("...");
        }
        cut
    }

    /// Reads the whole file as `T`.
    pub(super) fn read<T: DeserializeOwned>(&self) -> Result<T, FileError> {
        let deserializer = toml::Deserializer::from(self.root.clone());
        serde_path_to_error::deserialize(deserializer).map_err(|e| {
            let path = if e.path().iter().len() == 0 { String::new() } else { e.path().to_string() };
            let span = e.inner().span().unwrap_or(0..0);
            let fault = serde_text::explain(&path, e.inner().message(), &self.snippet(span.clone()));
            self.error_at(span, fault)
        })
    }

    /// Refuses `[[pump]]` where `[pump]` is meant: no top key of a record is a list.
    pub(super) fn no_lists_at_the_top(&self) -> Result<(), FileError> {
        match self.root().iter().find(|(_, value)| value.get_ref().is_array()) {
            None => Ok(()),
            Some((key, value)) => {
                let fault =
                    Fault::new(key.get_ref().as_ref(), "a list stands where one table or value belongs")
                        .allowed("write it once, without [[ ]] or a list");
                Err(self.error_at(value.span(), fault))
            }
        }
    }

    /// Refuses a list from which reading would have dropped values (a thirteenth month).
    pub(super) fn nothing_dropped(&self, read: &toml::Table) -> Result<(), FileError> {
        for (key, value) in self.root() {
            if let Some(read) = read.get(key.get_ref().as_ref()) {
                self.compare(value, read, key.get_ref())?;
            }
        }
        Ok(())
    }

    fn compare(&self, written: &Spanned<DeValue>, read: &toml::Value, path: &str) -> Result<(), FileError> {
        match (written.get_ref(), read) {
            (DeValue::Table(w), toml::Value::Table(r)) => {
                for (key, value) in w {
                    if let Some(read) = r.get(key.get_ref().as_ref()) {
                        self.compare(value, read, &format!("{path}.{}", key.get_ref()))?;
                    }
                }
            }
            (DeValue::Array(w), toml::Value::Array(r)) if w.len() != r.len() => {
                let fault = Fault::new(path, format!("{} values", w.len()))
                    .allowed(format!("exactly {} are allowed", r.len()));
                return Err(self.error_at(written.span(), fault));
            }
            (DeValue::Array(w), toml::Value::Array(r)) => {
                for (i, (value, read)) in w.iter().zip(r).enumerate() {
                    self.compare(value, read, &format!("{path}[{i}]"))?;
                }
            }
            (DeValue::Array(_), toml::Value::Table(_)) => {
                let fault = Fault::new(path, "a list stands where a table belongs")
                    .allowed("write its keys with their names");
                return Err(self.error_at(written.span(), fault));
            }
            _ => {}
        }
        Ok(())
    }
}

fn line_at(text: &str, offset: usize) -> usize {
    1 + text.bytes().take(offset).filter(|b| *b == b'\n').count()
}
