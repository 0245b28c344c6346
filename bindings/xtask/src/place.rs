//! Where the workspace and its build output are.

use anyhow::{Context, Result};
use camino::{Utf8Path, Utf8PathBuf};

use crate::process;

/// The folders that the commands work in.
#[derive(Debug, Clone)]
pub struct Place {
    /// The folder of the root manifest.
    pub root: Utf8PathBuf,
    /// Cargo's build output.
    target: Utf8PathBuf,
}

impl Place {
    /// Asks cargo, so that a build folder moved by the environment or a configuration is honoured.
    pub fn find() -> Result<Place> {
        let out = process::capture("cargo", &["metadata", "--format-version", "1", "--no-deps"])?;
        let told: serde_json::Value =
            serde_json::from_str(&out).context("cargo metadata did not answer in JSON")?;
        let folder = |key: &str| {
            let path = told[key].as_str().with_context(|| format!("cargo metadata names no {key}"))?;
            anyhow::Ok(Utf8PathBuf::from(path))
        };
        Ok(Place { root: folder("workspace_root")?, target: folder("target_directory")? })
    }

    /// The folder that holds what the dev profile built: libraries and programs.
    pub fn built(&self) -> Utf8PathBuf {
        self.target.join("debug")
    }

    /// The crate that other languages reach the core by.
    pub fn ffi(&self) -> Utf8PathBuf {
        self.root.join("bindings/ffi")
    }

    /// The Kotlin program that tries the bindings.
    pub fn smoke(&self) -> Utf8PathBuf {
        self.root.join("android/smoke")
    }

    /// The library that other languages load.
    pub fn library(&self) -> Utf8PathBuf {
        use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
        self.built().join(format!("{DLL_PREFIX}wellwright_ffi{DLL_SUFFIX}"))
    }
}

/// A path as it is shown: relative to the workspace where it lies inside it.
pub fn shown<'a>(place: &Place, path: &'a Utf8Path) -> &'a Utf8Path {
    path.strip_prefix(&place.root).unwrap_or(path)
}
