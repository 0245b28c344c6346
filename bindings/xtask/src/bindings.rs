//! `cargo xtask bindings kotlin`: the library, and the Kotlin that speaks to it.
//!
//! The generator runs inside this program, in the dev profile: it is a second's work, and building it
//! optimised takes minutes. It reads the interface out of the built library, so the two cannot drift.

use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use camino::{Utf8Path, Utf8PathBuf};
use uniffi_bindgen::bindings::{GenerateOptions, TargetLanguage, generate_with_bindgen_paths};
use uniffi_bindgen::{BindgenPaths, BindgenPathsLayer};

use crate::place::{Place, shown};
use crate::process;

/// Builds and generates, for use by hand.
pub fn run() -> Result<ExitCode> {
    let place = Place::find()?;
    if !process::stream(&place.root, "cargo", &["build", "--package", "wellwright-ffi"], |_| {})? {
        bail!("the library did not build");
    }
    let out = kotlin(&place)?;
    println!("Kotlin bindings are in {}", shown(&place, &out));
    Ok(ExitCode::SUCCESS)
}

/// Generates Kotlin from the built library; gives the folder. What was there before is replaced.
pub fn kotlin(place: &Place) -> Result<Utf8PathBuf> {
    let out_dir = place.smoke().join("target/generated");
    if out_dir.exists() {
        std::fs::remove_dir_all(&out_dir).with_context(|| format!("cannot clear {out_dir}"))?;
    }
    let mut paths = BindgenPaths::default();
    paths.add_layer(Ffi { root: place.ffi() });
    let options = GenerateOptions {
        languages: vec![TargetLanguage::Kotlin],
        source: place.library(),
        out_dir: out_dir.clone(),
        ..GenerateOptions::default()
    };
    generate_with_bindgen_paths(options, paths)
        .with_context(|| format!("cannot generate Kotlin from {}", shown(place, &place.library())))?;
    Ok(out_dir)
}

/// Tells the generator where the one crate with an interface is, and so its `uniffi.toml`.
struct Ffi {
    root: Utf8PathBuf,
}

impl BindgenPathsLayer for Ffi {
    fn get_crate_root(&self, crate_name: &str) -> Option<Utf8PathBuf> {
        (crate_name == "wellwright_ffi").then(|| Utf8Path::new(&self.root).to_owned())
    }
}
