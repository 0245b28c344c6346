//! The files that a person names.

use std::fs;
use std::io::BufReader;
use std::path::Path;

use wellwright_app::assess::telemetry_messages;
use wellwright_app::{AppError, ErrorKind};
use wellwright_domain::files::checks::{ChecksFile, read_checks};
use wellwright_domain::files::telemetry::{Telemetry, read_telemetry};
use wellwright_domain::record::System;

/// A text file, whole.
pub fn text(path: &Path) -> Result<String, AppError> {
    fs::read_to_string(path).map_err(|e| unreadable(path, &e))
}

/// A record, and its text.
pub fn system(path: &Path) -> Result<(System, String), AppError> {
    let text = text(path)?;
    Ok((System::from_toml(&text, &path.display().to_string())?, text))
}

/// A telemetry file; what it had to set aside is said on standard error.
pub fn telemetry(path: &Path) -> Result<Telemetry, AppError> {
    let file = fs::File::open(path).map_err(|e| unreadable(path, &e))?;
    let name = path.display().to_string();
    let telemetry = read_telemetry(BufReader::new(file), &name)?;
    for line in telemetry_messages(&name, &telemetry) {
        eprintln!("wellwright: {line}");
    }
    Ok(telemetry)
}

/// A checks file; without a path nothing was said.
pub fn checks(path: Option<&Path>) -> Result<ChecksFile, AppError> {
    match path {
        Some(path) => Ok(read_checks(&text(path)?, &path.display().to_string())?),
        None => Ok(ChecksFile::default()),
    }
}

/// Looks before any work that no file that is to be written is one of those that are read, or another of them.
pub fn writable(outputs: &[Option<&Path>], inputs: &[Option<&Path>]) -> Result<(), AppError> {
    let same = |a: &Path, b: &Path| {
        a == b || fs::canonicalize(a).ok().zip(fs::canonicalize(b).ok()).is_some_and(|(a, b)| a == b)
    };
    let refused = |path: &Path, why: &str| {
        Err(AppError::new(ErrorKind::BadInput, format!("{}: {why}: choose another place", path.display())))
    };
    let outputs: Vec<&Path> = outputs.iter().flatten().copied().collect();
    for (k, path) in outputs.iter().enumerate() {
        if inputs.iter().flatten().any(|i| same(path, i)) {
            return refused(path, "it is read here, and would be lost");
        }
        if outputs[..k].iter().any(|o| same(path, o)) {
            return refused(path, "two answers would be written to it");
        }
    }
    Ok(())
}

fn unreadable(path: &Path, e: &std::io::Error) -> AppError {
    let why = match e.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read".to_owned(),
        std::io::ErrorKind::InvalidData => "it is not UTF-8 text".to_owned(),
        std::io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => e.to_string(),
    };
    AppError::new(ErrorKind::BadInput, format!("{}: {why}; check the path", path.display()))
}
