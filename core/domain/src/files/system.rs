//! The record as a file: `*.system.toml`.

use super::error::{Fault, FileError};
use super::toml_doc::TomlDoc;
use super::validate;
use crate::record::System;

impl System {
    /// Reads a record and checks that it can be true.
    ///
    /// `file_name` is only used in the error.
    ///
    /// # Errors
    /// The first fault by line, as one line of text: syntax, a newer schema, an unknown or missing key, an
    /// unknown word, a value that is impossible, fields that contradict each other. Nothing is half-loaded.
    pub fn from_toml(text: &str, file_name: &str) -> Result<System, FileError> {
        let doc = TomlDoc::parse(text, file_name)?;
        doc.no_lists_at_the_top()?;
        let system: System = doc.read()?;
        doc.nothing_dropped(&as_table(&system).map_err(|f| FileError::whole(file_name, f))?)?;
        match system.faults().into_iter().min_by_key(|f| doc.line_of(&f.field)) {
            None => Ok(system),
            Some(fault) => Err(doc.error(fault)),
        }
    }

    /// Writes the record. What [`System::from_toml`] reads back is equal to it.
    ///
    /// # Errors
    /// A record that [`System::from_toml`] would refuse is not written: the first fault, without a line.
    pub fn to_toml(&self) -> Result<String, Fault> {
        if let Some(fault) = self.faults().into_iter().next() {
            return Err(fault);
        }
        toml::to_string(self).map_err(|e| Fault::new("", e.to_string()))
    }

    /// Everything in this record that cannot be true; empty when it is sound.
    ///
    /// For a record that is being edited. The checks are those of [`System::from_toml`].
    pub fn faults(&self) -> Vec<Fault> {
        match as_table(self) {
            Ok(table) => validate::faults(self, &table),
            Err(fault) => vec![fault],
        }
    }
}

fn as_table(system: &System) -> Result<toml::Table, Fault> {
    toml::Table::try_from(system).map_err(|e| Fault::new("", e.to_string()))
}
