//! The option `--machine` of commands that read a file.

use hoopwright::diagnostics::Failed;
use hoopwright::formats::dst::machine::{self, Machine};
use hoopwright::reading::read_text;
use std::path::Path;

/// The largest profile read, in MiB.
const LARGEST_MIB: u64 = 4;

/// The machine whose profile `path` is; the usual one without it.
pub fn machine_of(path: Option<&Path>) -> Result<Machine, Failed> {
    match path {
        Some(path) => machine::read(path, read_text(path, LARGEST_MIB)?),
        None => Ok(Machine::default()),
    }
}
