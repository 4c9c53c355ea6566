//! What is in a pack, and the seal by which any other byte shows.

use super::{Fingerprint, PackPath};
use crate::diagnostics::commands;
use crate::sandbox::CONTRACT;
use serde::{Deserialize, Serialize};

/// The form of a pack. Another number is another form, which is not read.
pub const FORM: u32 = 1;
/// The manifest's path in the archive.
pub(super) const MANIFEST: &str = "manifest.json";
/// The seal's path in the archive.
pub(super) const SEAL: &str = "manifest.sha256";
/// The folder of the archive that holds what the pack carries.
pub(super) const CARRIED: &str = "files/";
/// The longest title that a manifest repeats, in characters.
const LONGEST_TITLE: usize = 200;

/// What a pack says of itself. It is written in one way only, so that it has one seal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Manifest {
    /// The form of the pack.
    pub form: u32,
    /// The pipeline's title.
    pub title: String,
    /// The pipeline that is to be run.
    pub pipeline: PackPath,
    /// The newest contract that the program which packed it knows.
    pub contract: String,
    /// The version of the program which packed it.
    pub program: String,
    /// Every file, by its path.
    pub files: Vec<Carried>,
}

/// A file that a pack carries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Carried {
    /// Where it lies.
    pub path: PackPath,
    /// How many bytes it has.
    pub bytes: u64,
    /// What they are.
    pub sha256: Fingerprint,
}

/// Only the form, which tells whether the rest can be read.
#[derive(Deserialize)]
struct Form {
    form: u32,
}

impl Manifest {
    /// The manifest that this program writes.
    pub(super) fn of<'a>(
        title: &str,
        pipeline: &PackPath,
        files: impl Iterator<Item = (&'a PackPath, &'a [u8])>,
    ) -> Self {
        Self {
            form: FORM,
            title: plain(title),
            pipeline: pipeline.clone(),
            contract: CONTRACT.to_string(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            files: files
                .map(|(path, bytes)| Carried {
                    path: path.clone(),
                    bytes: bytes.len() as u64,
                    sha256: Fingerprint::of(bytes),
                })
                .collect(),
        }
    }

    /// The manifest as it stands in a pack.
    pub(super) fn to_bytes(&self) -> Vec<u8> {
        // Strings and whole numbers always serialize.
        let mut bytes = serde_json::to_vec_pretty(self).unwrap_or_default();
        bytes.push(b'\n');
        bytes
    }

    /// Reads a manifest, which must be written as this program writes it.
    ///
    /// # Errors
    /// What is wrong with it, as the end of a sentence that begins with the pack's name.
    pub(super) fn read(bytes: &[u8]) -> Result<Self, String> {
        let broken = |error: serde_json::Error| format!("has a broken manifest: {error}");
        let Form { form } = serde_json::from_slice(bytes).map_err(broken)?;
        if form != FORM {
            return Err(format!(
                "has form {form}, and this Hoopwright reads form {FORM}"
            ));
        }
        let manifest: Self = serde_json::from_slice(bytes).map_err(broken)?;
        let said = [&manifest.title, &manifest.contract, &manifest.program];
        if manifest.to_bytes() != bytes || said.iter().any(|text| plain(text) != **text) {
            return Err("has a manifest that is not written as it must be".to_owned());
        }
        Ok(manifest)
    }
}

/// The seal of a manifest, as it stands in a pack: a line that `sha256sum --check` reads too.
pub(super) fn seal(manifest: &[u8]) -> Vec<u8> {
    format!("{}  {MANIFEST}\n", Fingerprint::of(manifest)).into_bytes()
}

/// A text without what could play tricks on a terminal, and not too long for a line.
pub(super) fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if commands(c) { ' ' } else { c })
        .take(LONGEST_TITLE)
        .collect()
}
