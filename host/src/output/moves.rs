//! Files moved to their places, one run at a time in a folder, and back again where that fails.

use super::cannot;
use crate::diagnostics::{Choice, Diagnostic};
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// How long to wait for another run to move its files; that takes thousandths of a second.
const PATIENCE: Duration = Duration::from_secs(20);

/// A folder that no other run moves files in.
pub(super) struct Door(Option<File>);

impl Door {
    /// Waits until no other run moves files in `folder`. Where the file system knows no locks, nobody
    /// waits.
    ///
    /// # Errors
    /// Another run does so for much too long.
    pub fn of(folder: &Path) -> Result<Self, Diagnostic> {
        let Ok(file) = open(folder) else {
            return Ok(Self(None));
        };
        let begun = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Self(Some(file))),
                Err(TryLockError::WouldBlock) if begun.elapsed() < PATIENCE => {
                    std::thread::sleep(Duration::from_millis(2));
                }
                Err(TryLockError::WouldBlock) => {
                    return Err(Diagnostic::error(
                        "folder-held",
                        format!("another run is writing into {}", folder.display()),
                    )
                    .help("Nothing was changed. Wait until it has ended, or name another folder.")
                    .choosing(Choice::Place));
                }
                Err(TryLockError::Error(_)) => return Ok(Self(Some(file))),
            }
        }
    }

    /// Sees to it that what was moved stays moved when the power fails now. Some file systems cannot
    /// promise that; there the old set may be back.
    pub fn sync(&self) {
        if let Some(folder) = &self.0 {
            let _ = folder.sync_all();
        }
    }
}

/// The folder itself is locked, so that nothing is left in it.
#[cfg(unix)]
fn open(folder: &Path) -> io::Result<File> {
    File::open(folder)
}

/// Where folders cannot be opened, a file in it is, which stays.
#[cfg(not(unix))]
fn open(folder: &Path) -> io::Result<File> {
    File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder.join(".hoopwright.hold"))
}

/// Moves that can be taken back.
#[derive(Default)]
pub(super) struct Moves {
    made: Vec<(PathBuf, PathBuf)>,
}

impl Moves {
    /// Moves a file.
    ///
    /// # Errors
    /// Which file could not be moved, and why.
    pub fn make(&mut self, from: &Path, to: &Path) -> Result<(), (PathBuf, io::Error)> {
        fs::rename(from, to).map_err(|error| (to.to_owned(), error))?;
        self.made.push((from.to_owned(), to.to_owned()));
        Ok(())
    }

    /// Takes all moves back, the last first, and says what the problem was.
    pub fn undo(self, (path, error): (PathBuf, io::Error)) -> Diagnostic {
        let problem = cannot(&path, &error.to_string());
        let back = |(from, to): &(PathBuf, PathBuf)| fs::rename(to, from).is_ok();
        if self
            .made
            .iter()
            .rev()
            .map(back)
            .filter(|back| !back)
            .count()
            == 0
        {
            problem
        } else {
            problem
                .help("Some of the files that were there are gone. Free the folder, and run again.")
        }
    }
}
