//! Whether there may be a folder where files are to go.

use crate::diagnostics::{Choice, Diagnostic};
use std::path::Path;

/// Looks, before any work, whether something else lies where the folder `into`, or one around it, should be. A
/// folder that is missing is made when there is something to write into it.
///
/// # Errors
/// A diagnostic that names what lies there.
pub fn check_folder(into: &Path) -> Result<(), Diagnostic> {
    let there = into.ancestors().find(|path| path.exists());
    match there {
        Some(path) if !path.is_dir() => {
            let is = match path.is_file() {
                true => "is a file, not a folder",
                false => "is not a folder",
            };
            Err(
                Diagnostic::error("cannot-write", format!("{} {is}", path.display()))
                    .help("Nothing was changed. Name another folder.")
                    .choosing(Choice::Place),
            )
        }
        _ => Ok(()),
    }
}
