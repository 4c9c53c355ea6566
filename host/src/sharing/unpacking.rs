//! A pack made into a folder again, where its maker is trusted.

use super::lock::{Lock, Source, path_of};
use super::trust::{Signer, Trust};
use super::{Fingerprint, Pack, PackPath, limits};
use crate::diagnostics::{Choice, Diagnostic};
use crate::output::{self, Waiting, folder_of};
use crate::plugins::PROJECT_FOLDER;
use crate::reading::read_bytes;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Whose packs are taken.
#[derive(Clone, Copy)]
pub enum Taken<'a> {
    /// Only what a trusted shop has signed.
    Signed(&'a Trust),
    /// Also what nobody has signed. A signature that is there must hold all the same.
    UnsignedToo(&'a Trust),
}

/// Reads a pack, once it is known to be of a trusted shop, or may be taken unsigned. Gives who signed
/// it.
///
/// # Errors
/// It cannot be read, is not signed as it must be, or is not whole to the last byte.
pub fn open(file: &Path, taken: Taken<'_>) -> Result<(Pack, Option<Signer>), Diagnostic> {
    let bytes = read_bytes(file, limits::PACK_MIB)?;
    let (Taken::Signed(trust) | Taken::UnsignedToo(trust)) = taken;
    let signer = match (trust.signer(file, &bytes), taken) {
        (Ok(signer), _) => Some(signer),
        (Err(problem), Taken::UnsignedToo(_)) if problem.code == "unsigned" => None,
        (Err(problem), _) => return Err(problem),
    };
    let pack = Pack::read(&bytes).map_err(|why| {
        Diagnostic::error("pack-refused", format!("{} {why}", file.display()))
            .help("Nothing was taken from it. Ask its maker to send it again.")
    })?;
    check_lock(&pack).map_err(|why| {
        Diagnostic::error("pack-refused", format!("{} {why}", file.display()))
            .help("Nothing was taken from it. Ask its maker to pack it again with hoopwright pack.")
    })?;
    Ok((pack, signer))
}

/// The plugins in a pack that a trusted shop has signed: the path of each in it, and its bytes.
///
/// # Errors
/// As [`open`] tells it.
pub fn plugins_of_pack(
    file: &Path,
    trust: &Trust,
) -> Result<Vec<(String, Vec<u8>)>, Vec<Diagnostic>> {
    let (pack, _) = open(file, Taken::Signed(trust)).map_err(|problem| vec![problem])?;
    let folder = beside(&pack, PROJECT_FOLDER);
    let inside = |(path, bytes): (&PackPath, &Vec<u8>)| {
        let name = path.as_str().strip_prefix(&folder)?.strip_prefix('/')?;
        name.ends_with(".wasm")
            .then(|| (path.to_string(), bytes.clone()))
    };
    Ok(pack.files().iter().filter_map(inside).collect())
}

/// The path of a name beside the pipeline of a pack.
fn beside(pack: &Pack, name: &str) -> String {
    match pack.manifest().pipeline.as_str().rsplit_once('/') {
        Some((folder, _)) => format!("{folder}/{name}"),
        None => name.to_owned(),
    }
}

/// Whether the lock of a pack is whole, and every plugin that it names lies in the pack as it was
/// locked.
fn check_lock(pack: &Pack) -> Result<(), String> {
    let name = path_of(Path::new(pack.manifest().pipeline.as_str()));
    let name = name.file_name().unwrap_or_default().to_string_lossy();
    let file = |path: &str| pack.files().get(&PackPath::parse(path).ok()?);
    let text = file(&beside(pack, &name)).ok_or("has no lock")?;
    let text = std::str::from_utf8(text).map_err(|_| "has a lock that is not text")?;
    let lock = Lock::parse(text).map_err(|why| format!("has a broken lock: {why}"))?;
    for locked in &lock.steps {
        let held = match &locked.source {
            Source::File(path) => file(&beside(pack, path)),
            _ => None,
        };
        if held.map(|bytes| Fingerprint::of(bytes)) != Some(locked.sha256) {
            let step = locked.step.escape_debug();
            return Err(format!(
                "does not hold the plugin that its lock names for the step {step}"
            ));
        }
    }
    Ok(())
}

/// Writes a pack's files into a folder that is new or empty, all or none. Gives the pipeline.
///
/// # Errors
/// The folder holds something already, or cannot be written.
pub fn unpack(pack: &Pack, into: &Path) -> Result<PathBuf, Diagnostic> {
    let cannot = |why: &str| {
        Diagnostic::error(
            "cannot-write",
            format!("{} cannot be written: {why}", into.display()),
        )
        .help("Nothing was changed. Name a new folder.")
        .choosing(Choice::Place)
    };
    let failed = |error: std::io::Error| cannot(&error.to_string());
    let there = match fs::symlink_metadata(into) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => false,
        Err(error) => return Err(failed(error)),
        Ok(there) if !there.is_dir() => {
            return Err(cannot("it is there already, and is no folder"));
        }
        Ok(_) if fs::read_dir(into).map_err(failed)?.next().is_some() => {
            return Err(cannot("it holds something already"));
        }
        Ok(_) => true,
    };
    if into.file_name().is_none() {
        return Err(cannot(
            "a folder is put in its place, so it must have a name",
        ));
    }
    let parent = folder_of(into);
    fs::create_dir_all(parent).map_err(failed)?;
    output::clear(parent);
    let waiting = Waiting::within(parent).map_err(failed)?;
    // The waiting folder is its owner's alone; one inside it is as any other, for the whole shop.
    let whole = waiting.path().join("pack");
    fs::create_dir(&whole).map_err(failed)?;
    let files = pack.files();
    for (path, bytes) in files {
        let file = whole.join(path.to_path());
        let folder = file.parent().unwrap_or(&whole);
        fs::create_dir_all(folder)
            .and_then(|()| fs::File::create_new(&file))
            .and_then(|mut file| {
                file.write_all(bytes)?;
                file.sync_all()
            })
            .map_err(failed)?;
    }
    if there {
        // It fails where something has come into the folder meanwhile.
        fs::remove_dir(into).map_err(failed)?;
    }
    fs::rename(&whole, into).map_err(failed)?;
    Ok(into.join(pack.manifest().pipeline.to_path()))
}
