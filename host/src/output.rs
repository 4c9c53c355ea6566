//! Files written whole or not at all, and never beside files of another run that they do not fit.
//!
//! New files are written in full into a waiting folder beside their places. When the last of them lies
//! on the disk, those that are to be replaced are moved out, the first of the set before all others,
//! and the new ones are moved in, the first of the set after all others. So a run that is killed, or a
//! power cut, leaves the old set, the new one, or a set with files missing; never a machine file beside
//! the worksheet of another.

mod earlier;
mod folder;
mod moves;
mod spared;
mod waiting;

pub use earlier::{outdated, report_of_a_run, spared_machine_file};
pub use folder::check_folder;
pub use spared::{OTHER_FILE, OTHER_FOLDER, Spared};
pub(crate) use waiting::{Waiting, clear};

use crate::diagnostics::{Choice, Diagnostic};
use moves::{Door, Moves};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Writes all files, or none. They belong together: the first is the one that the others tell of, and
/// is never seen without them. What killed runs have left in the folders is cleared away.
///
/// # Errors
/// A diagnostic that names the file; what was there before is untouched.
pub fn write_all(files: &[(PathBuf, Vec<u8>)]) -> Result<(), Diagnostic> {
    let mut folders: Vec<&Path> = files.iter().map(|(path, _)| folder_of(path)).collect();
    folders.dedup();
    folders.into_iter().for_each(clear);
    write_more(files)
}

/// Writes like [`write_all`], but clears nothing away: for whoever writes into the same folder again
/// and again.
///
/// # Errors
/// A diagnostic that names the file; what was there before is untouched.
pub(crate) fn write_more(files: &[(PathBuf, Vec<u8>)]) -> Result<(), Diagnostic> {
    let mut waiting: BTreeMap<&Path, Waiting> = BTreeMap::new();
    let mut sets: Vec<Waits<'_>> = Vec::new();
    for (number, (path, bytes)) in files.iter().enumerate() {
        if path.is_dir() {
            return Err(cannot(path, "it is a folder"));
        }
        let folder = folder_of(path);
        let failed = |error: io::Error| cannot(path, &error.to_string());
        let beside = match waiting.entry(folder) {
            Entry::Occupied(there) => there.into_mut(),
            Entry::Vacant(none) => {
                let new = fs::create_dir_all(folder).and_then(|()| Waiting::within(folder));
                none.insert(new.map_err(failed)?)
            }
        };
        let beside = beside.path();
        let new = beside.join(format!("new-{number}"));
        write(&new, bytes).map_err(failed)?;
        sets.push((new, beside.join(format!("old-{number}")), path));
    }
    let doors: Result<Vec<Door>, Diagnostic> =
        waiting.keys().map(|folder| Door::of(folder)).collect();
    let doors = doors?;
    let mut moves = Moves::default();
    let plan = plan(&sets);
    if let Err(problem) = plan.iter().try_for_each(|(from, to)| moves.make(from, to)) {
        return Err(moves.undo(problem));
    }
    doors.iter().for_each(Door::sync);
    Ok(())
}

/// A new file that waits, where the old one is to wait, and the place of both.
type Waits<'a> = (PathBuf, PathBuf, &'a Path);

/// The moves that put new files in their places, from where to where.
fn plan<'a>(set: &'a [Waits<'a>]) -> Vec<(&'a Path, &'a Path)> {
    if let [(new, _, path)] = set {
        // One file takes the other's place in one move.
        return vec![(new, path)];
    }
    let there = set
        .iter()
        .filter(|(.., path)| path.symlink_metadata().is_ok());
    let out = there.map(|(_, old, path)| (*path, &**old));
    let last_first = set.iter().rev();
    let within = last_first.map(|(new, _, path)| (&**new, *path));
    out.chain(within).collect()
}

/// Writes a file that only its owner may read, and that is not there yet.
///
/// # Errors
/// A diagnostic that names the file; one that is there is untouched.
pub fn write_secret(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    let folder = folder_of(path);
    clear(folder);
    fs::create_dir_all(folder)
        .and_then(|()| Waiting::within(folder))
        .and_then(|waiting| {
            // A temporary file is its owner's alone from the first byte on.
            let mut file = tempfile::NamedTempFile::new_in(waiting.path())?;
            file.write_all(bytes)?;
            file.as_file().sync_all()?;
            file.persist_noclobber(path).map_err(|error| error.error)
        })
        .map(|_| ())
        .map_err(|error| cannot(path, &error.to_string()))
}

/// The folder that a file lies in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    readable_by_all(&file)
}

fn cannot(path: &Path, why: &str) -> Diagnostic {
    Diagnostic::error(
        "cannot-write",
        format!("{} cannot be written: {why}", path.display()),
    )
    .help("Nothing was changed. Name another folder.")
    .choosing(Choice::Place)
}

/// A delivered file is for the whole shop, whoever writes it and with whatever habits.
#[cfg(unix)]
fn readable_by_all(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_all(_file: &File) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests;
