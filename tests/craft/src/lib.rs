//! The fill-making steps on many regions, natively and without the Wasm engine.
//!
//! [`regions`] reads the regions that `tests/oracle/regions.py` made; [`runs`] says which steps sew
//! which of them, with which settings; [`native`] calls the steps; [`record`] writes what they sewed
//! and how long they took, for `tests/oracle/craft.py` to judge. [`any`] makes objects and settings of
//! any bytes, for fuzzing.

pub mod any;
pub mod native;
pub mod record;
pub mod regions;
pub mod runs;

use std::path::{Path, PathBuf};

/// Where regions, stitches and times lie: the folder that the variable `CRAFT_FOLDER` names, or
/// `target/craft` in the repository.
pub fn folder() -> PathBuf {
    match std::env::var_os("CRAFT_FOLDER") {
        Some(folder) => folder.into(),
        None => Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/craft"),
    }
}
