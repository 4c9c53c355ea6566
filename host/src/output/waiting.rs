//! Where files wait until all of them are whole.

use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::Path;
use tempfile::TempDir;

/// How the names of waiting folders begin. They are hidden, and no product, artwork or step lies in a
/// folder of such a name.
const PREFIX: &str = ".hoopwright-waiting-";

/// The file in a waiting folder that its run holds locked. The lock ends with the run, however that
/// ends.
const HOLD: &str = "hold";

/// A folder of this run's own beside the places of the files that it writes. It goes when it is
/// dropped; what a killed run leaves is cleared away by the next one that writes there.
#[derive(Debug)]
pub(crate) struct Waiting {
    // In this order, so that the file is closed before the folder goes.
    _hold: File,
    folder: TempDir,
}

impl Waiting {
    /// A new waiting folder in `folder`, which must be there.
    ///
    /// # Errors
    /// None can be made there.
    pub fn within(folder: &Path) -> io::Result<Self> {
        loop {
            let made = tempfile::Builder::new().prefix(PREFIX).tempdir_in(folder)?;
            let file = made.path().join(HOLD);
            let hold = match hold(&file) {
                Ok(hold) => hold,
                // Another run took the folder, not yet held, for one that was left.
                Err(error) if error.kind() == ErrorKind::NotFound && folder.is_dir() => continue,
                Err(error) => return Err(error),
            };
            // Where the file system knows no locks, nobody clears anything away either.
            let _ = hold.lock();
            if file.exists() {
                return Ok(Self {
                    _hold: hold,
                    folder: made,
                });
            }
        }
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// Removes from `folder` what killed runs have left there. What a run that is alive waits with stays.
pub(crate) fn clear(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_string_lossy().starts_with(PREFIX);
        if !ours || !entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            continue;
        }
        // Held, and out of the way before it is removed: a run that has just made it sees that its
        // folder is gone, and makes another.
        let gone = entry.path().with_extension("gone");
        if let Ok(hold) = hold(&entry.path().join(HOLD))
            && hold.try_lock().is_ok()
            && fs::rename(entry.path(), &gone).is_ok()
        {
            let _ = fs::remove_dir_all(gone);
        }
    }
}

fn hold(file: &Path) -> io::Result<File> {
    File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> usize {
        fs::read_dir(folder).expect("read").count()
    }

    #[test]
    fn what_is_left_is_cleared_and_what_is_in_use_stays() {
        let place = tempfile::tempdir().expect("a folder");
        let folder = place.path();
        for (name, files) in [("a", &["hold", "new-0"][..]), ("b", &[]), ("c", &["new-0"])] {
            let left = folder.join(format!("{PREFIX}{name}"));
            fs::create_dir(&left).expect("made");
            for file in files {
                fs::write(left.join(file), "left").expect("written");
            }
        }
        fs::write(folder.join(format!("{PREFIX}file")), "another's").expect("written");
        fs::create_dir(folder.join("owl")).expect("made");
        let waiting = Waiting::within(folder).expect("made");
        fs::write(waiting.path().join("new-0"), "mine").expect("written");
        clear(folder);
        assert_eq!(names(folder), 3);
        assert_eq!(names(waiting.path()), 2);
        drop(waiting);
        assert_eq!(names(folder), 2);
    }

    #[test]
    fn whoever_clears_takes_nothing_from_those_who_begin() {
        let place = tempfile::tempdir().expect("a folder");
        let folder = place.path();
        let over = std::sync::atomic::AtomicBool::new(false);
        std::thread::scope(|scope| {
            scope.spawn(|| {
                while !over.load(std::sync::atomic::Ordering::Relaxed) {
                    clear(folder);
                }
            });
            for _ in 0..300 {
                let waiting = Waiting::within(folder).expect("made");
                let file = waiting.path().join("new-0");
                fs::write(&file, "mine").expect("written");
                fs::rename(&file, folder.join("place")).expect("moved");
            }
            over.store(true, std::sync::atomic::Ordering::Relaxed);
        });
        assert_eq!(names(folder), 1);
    }
}
