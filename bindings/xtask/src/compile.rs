//! The build that the suites share.

use anyhow::Result;

use crate::place::Place;
use crate::process;

/// What the Rust suite builds and tests in one go. This program is left out: built by itself it has other
/// features in its dependencies, and the generator in it would be compiled a second time.
pub const PRODUCT: [&str; 3] = ["--workspace", "--exclude", "wellwright-xtask"];

/// Builds everything with the features that the tests use, so that the library which other languages load
/// costs nothing beyond what the tests need anyway. Gives whether it built.
pub fn product(place: &Place) -> Result<bool> {
    let args = [&["build"], &PRODUCT[..], &["--lib", "--bins", "--tests"]].concat();
    process::stream(&place.root, "cargo", &args, |_| {})
}
