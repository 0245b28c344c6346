//! A case that lies in files: `NAME.system.toml`, `NAME.telemetry.csv` and `NAME.checks.toml`.

use std::error::Error;
use std::path::Path;

use wellwright_diagnosis::Case;
use wellwright_domain::files::checks::{ChecksFile, read_checks};
use wellwright_domain::files::telemetry::{Telemetry, read_telemetry};
use wellwright_domain::record::System;

/// What the files hold.
pub struct CaseFiles {
    system: System,
    telemetry: Telemetry,
    checks: ChecksFile,
}

impl CaseFiles {
    /// Reads the three of one name in a folder.
    ///
    /// # Errors
    /// One that is missing, or cannot be read.
    pub fn read(dir: &Path, name: &str) -> Result<CaseFiles, Box<dyn Error>> {
        let text = |end: &str| std::fs::read_to_string(dir.join(format!("{name}.{end}")));
        Ok(CaseFiles {
            system: System::from_toml(&text("system.toml")?, name)?,
            telemetry: read_telemetry(text("telemetry.csv")?.as_bytes(), name)?,
            checks: read_checks(&text("checks.toml")?, name)?,
        })
    }

    /// The question that they ask.
    pub fn case(&self) -> Case<'_> {
        Case {
            situation: self.checks.situation,
            touched: self.checks.touched.as_deref(),
            noticed: self.checks.noticed.as_deref(),
            checks: &self.checks.checks,
            ..Case::new(&self.system)
        }
        .with_samples(&self.telemetry.samples)
    }
}
