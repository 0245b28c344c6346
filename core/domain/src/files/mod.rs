//! The files that cross the edge: the record, telemetry and checks, read with errors that help.
//!
//! A person writes these files by hand in the field, so every refusal is one line that names the file,
//! the line, the field, what is wrong, what is allowed and the nearest known word. A file is taken whole
//! or not at all.
//!
//! | file | read by | written by |
//! |---|---|---|
//! | `*.system.toml` | [`System::from_toml`](crate::record::System::from_toml) | [`System::to_toml`](crate::record::System::to_toml) |
//! | telemetry `*.csv` | [`telemetry::read_telemetry`] | [`telemetry::write_telemetry`] |
//! | `*.checks.toml` | [`checks::read_checks`] | |

pub mod bounds;
pub mod checks;
mod error;
mod nearest;
mod serde_text;
mod system;
pub mod telemetry;
mod toml_doc;
mod validate;

pub use error::{Fault, FileError};
pub use nearest::nearest;
