//! One batch at a time in a folder.

use crate::diagnostics::{Choice, Diagnostic};
use crate::output;
use std::fs::{File, TryLockError};
use std::path::Path;

/// The file by which a batch holds the folder. It stays there, empty; the hold ends with the
/// process, however that ends.
const FILE: &str = ".hoopwright-batch.hold";

/// A folder that no other batch writes into.
#[derive(Debug)]
pub(super) struct Hold(#[expect(dead_code, reason = "held open until it is dropped")] File);

impl Hold {
    /// Takes hold of a folder, makes it where it is missing, and clears away what killed runs had not
    /// finished writing. Where the file system knows no locks, that is told.
    ///
    /// # Errors
    /// The folder cannot be written into, or another batch holds it.
    pub fn take(folder: &Path) -> Result<(Self, Option<Diagnostic>), Diagnostic> {
        let cannot = |error: std::io::Error| {
            Diagnostic::error(
                "cannot-write",
                format!(
                    "the folder {} cannot be written into: {error}",
                    folder.display()
                ),
            )
            .help("Name another folder.")
            .choosing(Choice::Place)
        };
        std::fs::create_dir_all(folder).map_err(cannot)?;
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(folder.join(FILE))
            .map_err(cannot)?;
        let unsure = match file.try_lock() {
            Ok(()) => None,
            Err(TryLockError::WouldBlock) => {
                return Err(Diagnostic::error(
                    "folder-held",
                    format!("another batch is writing into {}", folder.display()),
                )
                .help("Wait until it has ended, or name another folder.")
                .choosing(Choice::Place));
            }
            Err(TryLockError::Error(error)) => Some(
                Diagnostic::warning(
                    "no-hold",
                    format!(
                        "whether another batch writes into {} cannot be seen there: {error}",
                        folder.display()
                    ),
                )
                .help("Start one batch at a time."),
            ),
        };
        output::clear(folder);
        Ok((Self(file), unsure))
    }
}
