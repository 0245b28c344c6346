//! Systems, the invented ones to try with, and what a simulated controller is asked to play.

use wellwright_app::{AppError, Simulated, SystemInfo};
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};

/// A system in the store.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SystemView {
    /// Number in this store.
    pub id: i64,
    /// Name.
    pub name: String,
    /// It has a record.
    pub recorded: bool,
}

impl From<SystemInfo> for SystemView {
    fn from(s: SystemInfo) -> SystemView {
        SystemView { id: s.id, name: s.name, recorded: s.recorded }
    }
}

/// The record of an invented system.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct DemoRecord {
    /// Name of the file it would be in.
    pub file_name: String,
    /// Text of the record.
    pub toml: String,
}

/// The records of the invented systems: the first has a centrifugal pump, the second a helical rotor.
#[uniffi::export]
pub fn demo_records() -> Vec<DemoRecord> {
    let demo = |name: &str, toml: &str| DemoRecord {
        file_name: format!("{name}.system.toml"),
        toml: toml.to_owned(),
    };
    vec![demo("kestrel-hollow", KESTREL_HOLLOW_TOML), demo("dovecote-bend", DOVECOTE_BEND_TOML)]
}

/// What a simulated controller plays.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Simulation {
    /// Code of the cause, such as `reversed_rotation`.
    pub cause: String,
    /// Decides every draw.
    pub seed: u64,
    /// Simulated seconds in a second; 0: as fast as it goes.
    pub speed: f64,
    /// Another length than the usual, s.
    pub length_s: Option<u32>,
}

impl TryFrom<Simulation> for Simulated {
    type Error = AppError;

    fn try_from(s: Simulation) -> Result<Simulated, AppError> {
        Ok(Simulated { length_s: s.length_s, ..Simulated::of_code(&s.cause, s.seed, s.speed)? })
    }
}
