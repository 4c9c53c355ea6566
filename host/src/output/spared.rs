//! Files that are read and must not be replaced by what is made of them.

use crate::diagnostics::{Choice, Diagnostic};
use crate::pipeline::{LARGEST_MIB, named_files};
use crate::reading::read_bytes;
use crate::sharing::lock;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What to do where products of a run would replace such a file.
pub const OTHER_FOLDER: &str = "Name another folder.";
/// The same where one file is written.
pub const OTHER_FILE: &str = "Name another file.";

/// Files that are read, by where they really are, and what each is.
#[derive(Clone, Debug, Default)]
pub struct Spared(BTreeMap<PathBuf, &'static str>);

impl Spared {
    /// This file too, which is `what`, such as "the artwork". One that is not there cannot be replaced.
    #[must_use]
    pub fn and(mut self, file: &Path, what: &'static str) -> Self {
        if let Ok(file) = file.canonicalize() {
            self.0.entry(file).or_insert(what);
        }
        self
    }

    /// What a run reads: the artwork, the pipeline, its lock, and the files that it names.
    pub fn of_run(artwork: &Path, pipeline: &Path) -> Self {
        let text = read_bytes(pipeline, LARGEST_MIB).unwrap_or_default();
        let named = named_files(pipeline, &text).unwrap_or_default();
        let run = Self::default()
            .and(artwork, "the artwork")
            .and(pipeline, "the pipeline")
            .and(&lock::path_of(pipeline), "the pipeline's lock");
        named.iter().fold(run, |run, file| {
            run.and(file, "a file that the pipeline reads")
        })
    }

    /// Makes sure that none of them would be replaced by writing `files`, whatever path leads there.
    ///
    /// # Errors
    /// A diagnostic that names the first that would be, with what to do instead.
    pub fn check<'a>(
        &self,
        files: impl IntoIterator<Item = &'a Path>,
        instead: &str,
    ) -> Result<(), Diagnostic> {
        for file in files {
            let there = file.canonicalize().ok();
            if let Some(what) = there.and_then(|there| self.0.get(&there)) {
                return Err(Diagnostic::error(
                    "cannot-write",
                    format!("{} is {what}", file.display()),
                )
                .help(format!("Nothing was changed. {instead}"))
                .choosing(Choice::Place));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_is_spared_by_whatever_path() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        for name in ["owl.dst", "rack.json"] {
            std::fs::write(at(name), "").expect("written");
        }
        std::fs::write(at("routine.json"), r#"{"rack": "rack.json"}"#).expect("written");
        let spared = Spared::of_run(&at("owl.dst"), &at("routine.json"));
        let check = |name: &str| spared.check([&*at(name)], OTHER_FOLDER);
        for name in ["owl.dst", "../owl.dst", "./rack.json", "routine.json"] {
            std::fs::create_dir_all(at("x")).expect("made");
            let name = name.replace("../", "x/../");
            let told = check(&name).expect_err("it is read");
            assert_eq!(told.code, "cannot-write", "{name}");
        }
        for name in ["owl.preview.png", "other.dst"] {
            assert_eq!(check(name), Ok(()), "{name}");
        }
    }
}
