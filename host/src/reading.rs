//! Files and folders as people give them, read whole: never more than was agreed, and nothing that is no file.

use crate::diagnostics::Diagnostic;
use std::path::{Path, PathBuf};

/// Reads a whole file that is not larger than `most_mib`. What is no file, such as a device or a pipe,
/// is not opened: it might never end, or wait for ever.
///
/// # Errors
/// A diagnostic that names the file.
pub fn read_bytes(path: &Path, most_mib: u64) -> Result<Vec<u8>, Diagnostic> {
    use std::io::Read as _;
    let unreadable = |why: String| {
        Diagnostic::error(
            "unreadable",
            format!("{} cannot be read: {why}", path.display()),
        )
    };
    let failed = |error: std::io::Error| unreadable(error.to_string());
    let most = most_mib << 20;
    let too_large = || {
        unreadable(format!("it is larger than {most_mib} MiB"))
            .help("See whether it is the file that was meant.")
    };
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(unreadable("it is a folder".to_owned()));
    }
    if !about.is_file() {
        return Err(unreadable("it is not a file".to_owned()));
    }
    if about.len() > most {
        return Err(too_large());
    }
    // It may grow while it is read, and a file of the system's may be larger than it says.
    let mut bytes = Vec::with_capacity(about.len() as usize);
    std::fs::File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(failed)?;
    if bytes.len() as u64 > most {
        return Err(too_large());
    }
    Ok(bytes)
}

/// What lies in a folder, in order of name.
///
/// # Errors
/// A diagnostic that names the folder.
pub(crate) fn entries_of(folder: &Path) -> Result<Vec<PathBuf>, Diagnostic> {
    let entries = std::fs::read_dir(folder);
    let paths = entries.and_then(|all| all.map(|entry| Ok(entry?.path())).collect());
    let mut paths: Vec<PathBuf> = paths.map_err(|error| {
        Diagnostic::error(
            "unreadable",
            format!("the folder {} cannot be read: {error}", folder.display()),
        )
    })?;
    paths.sort();
    Ok(paths)
}

/// Reads a whole text file that is not larger than `most_mib`.
///
/// # Errors
/// A diagnostic that names the file.
pub fn read_text(path: &Path, most_mib: u64) -> Result<String, Diagnostic> {
    to_text(path, read_bytes(path, most_mib)?)
}

/// Reads a text file that another file names, as [`read_text`]. Where there is none to open, `from` tells
/// where its path is taken from.
///
/// # Errors
/// A diagnostic that names the file, and says what to do.
pub(crate) fn read_named_text(
    path: &Path,
    most_mib: u64,
    from: &str,
) -> Result<String, Diagnostic> {
    read_text(path, most_mib).map_err(|unread| match unread.help {
        Some(_) => unread,
        None => unread.help(from),
    })
}

/// The text of a file that was read.
///
/// # Errors
/// A diagnostic that names the file.
pub(crate) fn to_text(path: &Path, bytes: Vec<u8>) -> Result<String, Diagnostic> {
    String::from_utf8(bytes).map_err(|_| {
        Diagnostic::error("not-text", format!("{} is not UTF-8 text", path.display()))
            .help("Save it as UTF-8, if it is a text.")
    })
}
