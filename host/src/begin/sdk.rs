//! The SDK's source, as the program was built with it, or another copy that is on this computer.

use crate::diagnostics::Diagnostic;
use std::path::{Path, PathBuf};

// FILES and TESTED_VERSIONS.
include!(concat!(env!("OUT_DIR"), "/sdk.rs"));

/// The folder that the SDK's source gets inside a step's own folder.
pub const FOLDER: &str = "hoopwright-sdk";

/// The folder of the crate `hoopwright-sdk` in a copy of the source on this computer: the whole
/// repository, or the crate itself.
///
/// # Errors
/// There is no such crate.
pub fn of_checkout(path: &Path) -> Result<PathBuf, Diagnostic> {
    let is_sdk = |folder: &PathBuf| {
        let manifest = std::fs::read_to_string(folder.join("Cargo.toml"));
        manifest.is_ok_and(|text| text.contains("name = \"hoopwright-sdk\""))
    };
    let found = [path.join("sdk"), path.to_owned()]
        .into_iter()
        .find(is_sdk)
        .and_then(|folder| std::fs::canonicalize(folder).ok());
    found.ok_or_else(|| {
        Diagnostic::error(
            "no-sdk",
            format!("{} does not hold the crate hoopwright-sdk", path.display()),
        )
        .help("Name a copy of Hoopwright's source, or none: the program has the SDK in it.")
    })
}
