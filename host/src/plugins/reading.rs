//! The bytes of plugins, from wherever they lie.

use super::place::{Origin, Place};
use crate::diagnostics::Diagnostic;
use crate::reading::{entries_of, read_bytes};
use crate::registry::{Digest, Reference, store::Store};
use crate::sharing::{self, Trust};
use std::path::{Path, PathBuf};

/// A plugin that has been read, and not yet looked at.
pub(super) struct Read {
    pub origin: Origin,
    pub bytes: Vec<u8>,
}

/// Reads all plugins at a place; each file, or all `.wasm` files of a folder in order of name.
/// Of each are read `most_mib` and no more. Of a reference to a registry the `pinned` bytes are read where they
/// are on this computer, whatever its tag has come to mean since.
///
/// # Errors
/// One diagnostic for each that cannot be read, beside those that can.
pub(super) fn read(
    place: &Place,
    most_mib: usize,
    pinned: Option<Digest>,
) -> (Vec<Read>, Vec<Diagnostic>) {
    match place {
        Place::Path(path) if path.is_dir() => match files_in(path) {
            Ok(files) => files_read(files, most_mib),
            Err(problem) => (Vec::new(), vec![problem]),
        },
        Place::Path(path) if path.to_string_lossy().ends_with(sharing::ENDING) => {
            match pack_read(path) {
                Ok(read) => (read, Vec::new()),
                Err(problems) => (Vec::new(), problems),
            }
        }
        Place::Path(path) => files_read(vec![path.clone()], most_mib),
        Place::Registry(reference) => match pulled(reference, pinned) {
            Ok(read) => (vec![read], Vec::new()),
            Err(problem) => (Vec::new(), vec![problem]),
        },
    }
}

/// What was pulled under this reference, from the user's own store; nothing is asked of the network.
fn pulled(reference: &str, pinned: Option<Digest>) -> Result<Read, Diagnostic> {
    let wanted: Reference = Place::Registry(reference.to_owned()).to_string().parse()?;
    let store = Store::open_user()?;
    let pinned = match pinned {
        Some(digest) => store.bytes_of(digest)?,
        None => None,
    };
    let bytes = match pinned {
        Some(bytes) => bytes,
        None => store.plugin(&wanted)?.0,
    };
    Ok(Read {
        origin: Origin::Registry(reference.to_owned()),
        bytes,
    })
}

/// The plugins of a pack, which a shop must have signed that the user trusts.
fn pack_read(pack: &Path) -> Result<Vec<Read>, Vec<Diagnostic>> {
    let trust = Trust::of_user().map_err(|problem| vec![problem])?;
    let read = |(inside, bytes)| Read {
        origin: Origin::Pack {
            pack: pack.to_owned(),
            inside,
        },
        bytes,
    };
    let plugins = sharing::plugins_of_pack(pack, &trust)?;
    Ok(plugins.into_iter().map(read).collect())
}

fn files_read(files: Vec<PathBuf>, most_mib: usize) -> (Vec<Read>, Vec<Diagnostic>) {
    let mut read = Vec::new();
    let mut problems = Vec::new();
    for file in files {
        match read_bytes(&file, most_mib as u64) {
            Ok(bytes) => read.push(Read {
                origin: Origin::File(file),
                bytes,
            }),
            Err(problem) => problems
                .push(problem.help("Give the .wasm file of a plugin, or a folder of such files.")),
        }
    }
    (read, problems)
}

/// The `.wasm` files of a folder, in order of name.
pub(crate) fn files_in(folder: &Path) -> Result<Vec<PathBuf>, Diagnostic> {
    let mut files = entries_of(folder)?;
    files.retain(|path| path.extension().is_some_and(|ending| ending == "wasm"));
    Ok(files)
}
