//! Files written whole or not at all.

use crate::diagnostics::Diagnostic;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// How the names begin of files that wait for their place.
const WAITING: &str = ".hoopwright-";

/// Writes all files, or none: each is written beside its place first, and moved there only when
/// all have been written.
///
/// # Errors
/// A diagnostic that names the file; what was there before is untouched.
pub fn write_all(files: &[(PathBuf, Vec<u8>)]) -> Result<(), Diagnostic> {
    write_all_as(WAITING, files)
}

/// Writes like [`write_all`]. The names of the files that wait for their place begin with
/// `waiting`, so that whoever was killed while writing can find them again.
///
/// # Errors
/// A diagnostic that names the file; what was there before is untouched.
pub fn write_all_as(waiting: &str, files: &[(PathBuf, Vec<u8>)]) -> Result<(), Diagnostic> {
    let prefix = waiting;
    let mut waiting = Vec::new();
    for (path, bytes) in files {
        if path.is_dir() {
            return Err(cannot(path, "it is a folder"));
        }
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let written = fs::create_dir_all(folder)
            .and_then(|()| tempfile::Builder::new().prefix(prefix).tempfile_in(folder))
            .and_then(|mut file| {
                file.write_all(bytes)?;
                file.as_file().sync_all()?;
                readable_by_all(&file)?;
                Ok(file)
            })
            .map_err(|error| cannot(path, &error.to_string()))?;
        waiting.push((written, path));
    }
    for (file, path) in waiting {
        file.persist(path)
            .map_err(|error| cannot(path, &error.error.to_string()))?;
    }
    Ok(())
}

/// Writes a file that only its owner may read, and that is not there yet.
///
/// # Errors
/// A diagnostic that names the file; one that is there is untouched.
pub fn write_secret(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // A temporary file is its owner's alone from the first byte on.
    fs::create_dir_all(folder)
        .and_then(|()| tempfile::Builder::new().prefix(WAITING).tempfile_in(folder))
        .and_then(|mut file| {
            file.write_all(bytes)?;
            file.as_file().sync_all()?;
            file.persist_noclobber(path).map_err(|error| error.error)
        })
        .map(|_| ())
        .map_err(|error| cannot(path, &error.to_string()))
}

fn cannot(path: &Path, why: &str) -> Diagnostic {
    Diagnostic::error(
        "cannot-write",
        format!("{} cannot be written: {why}", path.display()),
    )
    .help("Nothing was changed. Name another folder with --into.")
}

/// A temporary file is its owner's alone; a delivered file is for the whole shop.
#[cfg(unix)]
fn readable_by_all(file: &NamedTempFile) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    file.as_file()
        .set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_all(_file: &NamedTempFile) -> std::io::Result<()> {
    Ok(())
}
