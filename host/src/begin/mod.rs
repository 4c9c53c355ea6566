//! A step of one's own, from nothing: a crate that builds, with its tests, a routine that uses it, and
//! artwork to try it on.
//!
//! The SDK's source lies inside the crate. So the folder builds on any computer, and gives the same
//! bytes there: Rust's names for compiled code hold the path of a crate that lies outside.

mod name;
mod sdk;

use crate::diagnostics::{Choice, Diagnostic, Failed};
use crate::output::{self, Waiting};
use crate::sandbox::Kind;
use std::fs;
use std::path::{Path, PathBuf};

/// A crate that has been checked, and not been written yet.
#[derive(Clone, Debug)]
pub struct Beginning {
    /// Its folder.
    pub folder: PathBuf,
    /// The path of each file inside it, with its text.
    files: Vec<(String, String)>,
}

/// One file of the crate.
macro_rules! template {
    ($file:literal) => {
        include_str!(concat!("crate/", $file))
    };
}

const SDK_INSIDE: &str = "`hoopwright-sdk` is the SDK's source, as the program was built with it. `Cargo.lock` holds the\n\
versions that it was tested with.";

/// Plans the crate of a step `name` in the folder `into`. `stock` are the names of the stock steps;
/// `sdk` is a copy of the SDK's source that is used instead of the program's own.
///
/// # Errors
/// Everything that is in the way.
pub fn begin<'a>(
    name: &str,
    kind: Kind,
    into: &Path,
    sdk: Option<&Path>,
    stock: impl Iterator<Item = &'a str>,
) -> Result<Beginning, Failed> {
    let mut problems = name::problems(name, stock);
    let folder = if into == Path::new(".") {
        PathBuf::from(name)
    } else {
        into.join(name)
    };
    if problems.is_empty() && folder.symlink_metadata().is_ok() {
        problems.push(
            Diagnostic::error(
                "already-there",
                format!("{} exists already", folder.display()),
            )
            .help("Nothing was changed. Choose another name, or another folder.")
            .choosing(Choice::Place),
        );
    }
    let checkout = sdk.map(sdk::of_checkout).transpose();
    let checkout = checkout.unwrap_or_else(|problem| {
        problems.push(problem);
        None
    });
    if !problems.is_empty() {
        return Err(Failed(problems));
    }
    let (sdk_path, sdk_words) = match &checkout {
        None => (format!("{}/sdk", sdk::FOLDER), SDK_INSIDE.to_owned()),
        Some(path) => {
            let path = path.display().to_string().replace('\\', "/");
            let words = format!(
                "The SDK is the copy in {path}. Another computer needs it in the same place, and gives other\nbytes where it lies elsewhere."
            );
            (path, words)
        }
    };
    let filled = |text: &str| {
        text.replace("STEP-NAME", name)
            .replace("STEP_NAME", &name.replace('-', "_"))
            .replace("SDK-PATH", &sdk_path)
            .replace("SDK-WORDS", &sdk_words)
            .replace("SUMMARY", summary(kind))
    };
    let mut files: Vec<(String, String)> = templates(kind)
        .into_iter()
        .map(|(path, text)| (path.to_owned(), filled(text)))
        .collect();
    files.push(("Cargo.lock".to_owned(), sdk::TESTED_VERSIONS.to_owned()));
    if checkout.is_none() {
        files.extend(
            sdk::FILES
                .iter()
                .map(|(path, text)| (format!("{}/{path}", sdk::FOLDER), (*text).to_owned())),
        );
    }
    Ok(Beginning { folder, files })
}

fn summary(kind: Kind) -> &'static str {
    match kind {
        Kind::Object => {
            "Lets needle points step aside in turn, so that a sewn line becomes a zigzag."
        }
        Kind::Design => "Moves objects apart, away from the middle of them all.",
    }
}

/// The crate's own files.
fn templates(kind: Kind) -> Vec<(&'static str, &'static str)> {
    let mut files = vec![
        ("Cargo.toml", template!("Cargo.toml.txt")),
        (".gitignore", template!("gitignore.txt")),
        ("README.md", template!("README.md")),
        ("sample.svg", template!("sample.svg")),
    ];
    files.extend(match kind {
        Kind::Object => [
            ("src/lib.rs", template!("object/lib.rs")),
            ("tests/step.rs", template!("object/step.rs")),
            (
                "tests/expected/lines.json",
                template!("object/expected.json"),
            ),
            ("routine.json", template!("object/routine.json")),
        ],
        Kind::Design => [
            ("src/lib.rs", template!("design/lib.rs")),
            ("tests/step.rs", template!("design/step.rs")),
            (
                "tests/expected/three.json",
                template!("design/expected.json"),
            ),
            ("routine.json", template!("design/routine.json")),
        ],
    });
    files
}

impl Beginning {
    /// Writes the crate whole or not at all.
    ///
    /// # Errors
    /// What could not be written. What was there before is untouched.
    pub fn write(&self) -> Result<(), Diagnostic> {
        let parent = match self.folder.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let cannot = |error: std::io::Error| {
            Diagnostic::error(
                "cannot-write",
                format!("{} cannot be written: {error}", self.folder.display()),
            )
            .help("Nothing was changed. Name another folder.")
            .choosing(Choice::Place)
        };
        let made = missing_folders(parent);
        let written = self.write_beside(parent);
        if written.is_err() {
            // Only what was made here, and only where nothing has come into it since.
            for folder in made {
                let _ = fs::remove_dir(folder);
            }
        }
        written.map_err(cannot)
    }

    fn write_beside(&self, parent: &Path) -> std::io::Result<()> {
        fs::create_dir_all(parent)?;
        output::clear(parent);
        let beside = Waiting::within(parent)?;
        // The folder itself is readable by its owner alone; one inside it is as any other.
        let whole = beside.path().join("crate");
        for (path, text) in &self.files {
            let file = whole.join(path);
            if let Some(folder) = file.parent() {
                fs::create_dir_all(folder)?;
            }
            fs::write(file, text)?;
        }
        fs::rename(whole, &self.folder)
    }
}

/// The folders on the way to `folder` that are missing, the innermost first.
fn missing_folders(folder: &Path) -> Vec<PathBuf> {
    folder
        .ancestors()
        .filter(|folder| !folder.as_os_str().is_empty())
        .take_while(|folder| !folder.exists())
        .map(Path::to_owned)
        .collect()
}
