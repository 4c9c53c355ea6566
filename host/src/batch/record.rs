//! What a folder holds, and what it was made of.

use super::finished::Figures;
use crate::diagnostics::Diagnostic;
use crate::fingerprint::Fingerprint;
use crate::output;
use crate::reading::read_text;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The record's file in the folder.
pub(super) const FILE: &str = "hoopwright.batch.json";
/// The largest record read, in MiB: about 100,000 artworks.
const LARGEST_MIB: u64 = 256;
/// The form of the file. Another number is another form, which is not read.
const FORM: u32 = 1;

/// What a folder holds, by the name of the products.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Record {
    form: u32,
    /// What is known of each artwork's products.
    pub(super) artworks: BTreeMap<String, Entry>,
}

/// The products of one artwork.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Entry {
    /// SHA-256 of everything that the products were made of.
    pub made_of: String,
    /// What was sewn.
    pub figures: Figures,
    /// SHA-256 of each product, by the end of its name.
    pub files: BTreeMap<String, String>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            form: FORM,
            artworks: BTreeMap::new(),
        }
    }
}

impl Record {
    /// Reads the record of a folder. One that is missing is empty; one that cannot be used is too,
    /// and why is told.
    pub fn read(folder: &Path) -> (Self, Option<Diagnostic>) {
        let path = folder.join(FILE);
        if !path.exists() {
            return (Self::default(), None);
        }
        let unusable = |why: String| {
            let warning = Diagnostic::warning(
                "record-unusable",
                format!("the record of what was sewn here cannot be used: {why}"),
            );
            let warning = warning
                .in_file(&path)
                .help("Everything is sewn anew and the record begun again.");
            (Self::default(), Some(warning))
        };
        let text = match read_text(&path, LARGEST_MIB) {
            Ok(text) => text,
            Err(problem) => return unusable(problem.message),
        };
        match serde_json::from_str::<Self>(&text) {
            Ok(record) if record.form == FORM => (record, None),
            Ok(record) => unusable(format!("it has form {}, not {FORM}", record.form)),
            Err(error) => unusable(error.to_string()),
        }
    }

    /// Writes the record into its folder, whole or not at all.
    ///
    /// # Errors
    /// Why it cannot be written.
    pub(super) fn write(&self, folder: &Path) -> Result<(), Diagnostic> {
        // Strings and finite numbers always serialize.
        let mut text = serde_json::to_vec_pretty(self).unwrap_or_default();
        text.push(b'\n');
        output::write_more(&[(folder.join(FILE), text)])
    }
}

impl Entry {
    /// The products' files.
    pub fn paths(&self, folder: &Path, name: &str) -> Vec<PathBuf> {
        self.files
            .keys()
            .map(|ending| folder.join(format!("{name}.{ending}")))
            .collect()
    }

    /// Whether every product lies in the folder as it was written.
    pub fn is_still_there(&self, folder: &Path, name: &str) -> bool {
        let same = |(path, digest): (PathBuf, &String)| {
            Fingerprint::of_file(&path).is_ok_and(|is| is.to_string() == *digest)
        };
        let paths = self.paths(folder, name);
        paths.into_iter().zip(self.files.values()).all(same)
    }
}
