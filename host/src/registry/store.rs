//! What was pulled, kept on this computer.
//!
//! ```text
//! <data folder>/store/
//!   blobs/sha256/<digest>    manifests, configs and components, each under the digest of its bytes
//!   references/<digest>      which manifest a tag meant when it was pulled; named by the reference
//!   partial/<digest>         downloads that broke
//! ```
//!
//! Every file is written whole or not at all, and two processes may write at once. Every blob is
//! held against its digest whenever it is read.

use super::layout::{self, Artifact, Contents, LARGEST_DOCUMENT};
use super::partial::Partial;
use super::{Digest, Reference};
use crate::diagnostics::Diagnostic;
use crate::output::write_all;
use crate::reading;
use crate::user_folders::user_folders;
use serde::{Deserialize, Serialize};
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// The largest plugin read from the store, in MiB, where the sandbox's own limit is not known.
const LARGEST_PLUGIN_MIB: u64 = 256;

/// The user's own copies of what registries gave.
#[derive(Clone, Debug)]
pub struct Store {
    root: PathBuf,
}

/// What a tag meant when it was pulled.
#[derive(Serialize, Deserialize)]
struct Record {
    reference: String,
    manifest: String,
}

impl Store {
    /// The store in the user's data folder.
    ///
    /// # Errors
    /// A user without a home.
    pub fn open_user() -> Result<Self, Diagnostic> {
        let folders = user_folders().ok_or_else(|| {
            Diagnostic::error("no-store", "there is no home folder to keep steps in")
                .help("Set HOME to a folder.")
        })?;
        Ok(Self::open(folders.data_dir().join("store")))
    }

    /// The store in this folder, which need not be there yet.
    pub fn open(root: PathBuf) -> Self {
        Self { root }
    }

    /// The plugin that `reference` means, and its digest. Nothing is asked of the network.
    ///
    /// # Errors
    /// A step that was not pulled, or whose copy is damaged; the help says what to do.
    pub fn plugin(&self, reference: &Reference) -> Result<(Vec<u8>, Digest), Diagnostic> {
        let missing = || {
            Diagnostic::error("not-pulled", format!("{reference} is not on this computer"))
                .help(pull_it(reference))
        };
        let again = |damaged: Diagnostic| damaged.help(pull_it(reference));
        let manifest = self.manifest(reference)?.ok_or_else(missing)?;
        let contents = self.contents(manifest).map_err(again)?;
        let digest = contents.ok_or_else(missing)?.plugin.digest;
        let bytes = self.blob(digest, LARGEST_PLUGIN_MIB << 20).map_err(again)?;
        Ok((bytes.ok_or_else(missing)?, digest))
    }

    /// The plugin of this digest, if it was ever pulled, by whatever reference.
    ///
    /// # Errors
    /// A damaged copy, or one that cannot be read.
    pub fn bytes_of(&self, plugin: Digest) -> Result<Option<Vec<u8>>, Diagnostic> {
        self.blob(plugin, LARGEST_PLUGIN_MIB << 20)
    }

    /// The manifest that `reference` means: its own digest, or what its tag meant when it was pulled.
    ///
    /// # Errors
    /// A record that cannot be read.
    pub fn manifest(&self, reference: &Reference) -> Result<Option<Digest>, Diagnostic> {
        if let Some(digest) = reference.digest() {
            return Ok(Some(digest));
        }
        let path = self.record(reference);
        if !path.exists() {
            return Ok(None);
        }
        let text = reading::read_text(&path, 1)?;
        let record: Option<Record> = serde_json::from_str(&text).ok();
        let digest = record
            .filter(|record| record.reference == reference.to_string())
            .and_then(|record| record.manifest.parse().ok());
        digest.map(Some).ok_or_else(|| {
            damaged(&path, "it is not what was written there").help(pull_it(reference))
        })
    }

    /// What the manifest of this digest says, if it is here.
    ///
    /// # Errors
    /// A damaged copy.
    pub fn contents(&self, manifest: Digest) -> Result<Option<Contents>, Diagnostic> {
        let Some(bytes) = self.blob(manifest, LARGEST_DOCUMENT)? else {
            return Ok(None);
        };
        layout::read_manifest(&bytes, LARGEST_PLUGIN_MIB << 20)
            .map(Some)
            .map_err(|why| {
                Diagnostic::error("not-a-step", format!("{manifest} is not a step: {why}"))
                    .help("Pull a step that was pushed with hoopwright push.")
            })
    }

    /// The bytes of this digest, if they are here and no more than `most`.
    ///
    /// # Errors
    /// A damaged copy, or one that cannot be read.
    pub fn blob(&self, digest: Digest, most: u64) -> Result<Option<Vec<u8>>, Diagnostic> {
        let path = self.place(digest);
        let mut bytes = Vec::new();
        let read =
            std::fs::File::open(&path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes));
        match read {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(damaged(&path, &error.to_string())),
            Ok(_) => {}
        }
        if Digest::of(&bytes) != digest {
            return Err(damaged(&path, "its bytes are not those that were pulled"));
        }
        Ok(Some(bytes))
    }

    /// Keeps a step under this reference: first its bytes, then what the tag means.
    ///
    /// # Errors
    /// A folder that cannot be written into.
    pub fn keep(&self, reference: &Reference, artifact: &Artifact) -> Result<(), Diagnostic> {
        let mut files = Vec::new();
        for bytes in [&artifact.plugin, &artifact.config, &artifact.manifest] {
            let digest = Digest::of(bytes);
            if !matches!(self.blob(digest, bytes.len() as u64), Ok(Some(_))) {
                files.push((self.place(digest), bytes.clone()));
            }
        }
        self.write(&files)?;
        if reference.digest().is_some() {
            return Ok(());
        }
        let record = Record {
            reference: reference.to_string(),
            manifest: Digest::of(&artifact.manifest).to_string(),
        };
        // Two strings always serialize.
        let mut text = serde_json::to_vec_pretty(&record).unwrap_or_default();
        text.push(b'\n');
        self.write(&[(self.record(reference), text)])
    }

    /// What has arrived of a blob.
    pub(super) fn partial(&self, digest: Digest) -> Result<Partial, Diagnostic> {
        Partial::open(&self.root.join("partial"), digest)
    }

    fn write(&self, files: &[(PathBuf, Vec<u8>)]) -> Result<(), Diagnostic> {
        write_all(files).map_err(|mut cannot| {
            cannot.help = Some(WRITABLE.to_owned());
            cannot
        })
    }

    fn place(&self, digest: Digest) -> PathBuf {
        self.root.join("blobs").join("sha256").join(digest.hex())
    }

    /// Where a tag's record stands. Colons, and letters that differ only in case, are not safe in
    /// names of files everywhere; a digest is.
    fn record(&self, reference: &Reference) -> PathBuf {
        let name = Digest::of(reference.to_string().as_bytes()).hex();
        self.root.join("references").join(format!("{name}.json"))
    }
}

const WRITABLE: &str = "The store in your data folder must be writable. Nothing was changed there.";

fn damaged(path: &Path, why: &str) -> Diagnostic {
    Diagnostic::error(
        "store-damaged",
        format!("the copy {} is damaged: {why}", path.display()),
    )
    .help("Pull the step again: hoopwright pull.")
}

/// A file of the store that cannot be written.
pub(super) fn unwritable(path: &Path, error: &std::io::Error) -> Diagnostic {
    Diagnostic::error(
        "cannot-write",
        format!("{} cannot be written: {error}", path.display()),
    )
    .help(WRITABLE)
}

fn pull_it(reference: &Reference) -> String {
    format!(
        "Run: hoopwright pull {reference}   (or hoopwright pull PIPELINE for all that a pipeline \
         names). A run itself never asks the network."
    )
}
