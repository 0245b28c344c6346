//! Writes cases as files: record, recording, what the person tells, and the table of answers.

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::Path;

use chrono::SecondsFormat;
use wellwright_domain::flags::Flags;
use wellwright_domain::record::PumpKind;

use super::case::Case;

/// First line of the table of answers.
pub const ANSWERS_HEADER: &str = "name,cause,severity,sensors,kind";

impl Case {
    /// The recording as CSV, with as many digits as each instrument shows.
    pub fn telemetry_csv(&self) -> String {
        let mut text = String::from("time,state,flags");
        for i in &self.panel.instruments {
            text.push(',');
            text += i.channel.code();
        }
        text.push('\n');
        for s in &self.samples {
            text += &s.at.to_rfc3339_opts(SecondsFormat::AutoSi, false);
            text.push(',');
            text += s.state.map_or("", |x| x.code());
            text.push(',');
            text += &s.flags.map(Flags::to_tokens).unwrap_or_default();
            for i in &self.panel.instruments {
                text.push(',');
                if let Some(v) = s.raw(i.channel) {
                    let _ = write!(text, "{:.*}", i.digits, v + 0.0);
                }
            }
            text.push('\n');
        }
        text
    }

    /// The record as TOML.
    ///
    /// # Errors
    /// When the record could not be true: a mistake of the generator.
    pub fn system_toml(&self) -> io::Result<String> {
        let body = self.system.to_toml().map_err(|f| io::Error::other(format!("{}: {f}", self.name)))?;
        Ok(format!("# Invented system.\n{body}"))
    }

    /// What the person tells, as TOML.
    pub fn checks_toml(&self) -> String {
        self.circumstances.to_toml()
    }

    /// Its line in the table of answers.
    pub fn answer(&self) -> String {
        let kind = match self.kind {
            PumpKind::Centrifugal => "centrifugal",
            PumpKind::HelicalRotor => "helical_rotor",
        };
        let severity = self.severity.map(|s| format!("{s:.3}")).unwrap_or_default();
        format!("{},{},{},{},{}", self.name, self.cause.code(), severity, self.sensors.word(), kind)
    }

    /// Writes the three files of the case into a folder.
    ///
    /// # Errors
    /// When a file cannot be written.
    pub fn write(&self, folder: &Path) -> io::Result<()> {
        let file = |kind: &str| folder.join(format!("{}.{kind}", self.name));
        fs::write(file("system.toml"), self.system_toml()?)?;
        fs::write(file("telemetry.csv"), self.telemetry_csv())?;
        fs::write(file("checks.toml"), self.checks_toml())
    }
}
