//! Which artworks a batch has, and what each one's products are called.

use crate::artwork::{self, Readers};
use crate::diagnostics::{Diagnostic, Failed};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One artwork of a batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Artwork {
    /// Its file.
    pub path: PathBuf,
    /// The first part of the names of its products.
    pub name: String,
}

/// What a batch will sew.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gathered {
    /// The artworks, in the order in which they were given; those of a folder by name.
    pub artworks: Vec<Artwork>,
    /// Files of folders that were left out.
    pub notes: Vec<Diagnostic>,
}

/// The artworks that `text` lists, one a line. Empty lines count for nothing.
pub fn listed(text: &str) -> Vec<PathBuf> {
    text.lines()
        .map(str::trim_end)
        .filter(|line| !line.is_empty())
        .map(PathBuf::from)
        .collect()
}

/// Finds the artworks in `given`: files, and folders of which every file counts that is named like
/// artwork. Folders within a folder are not entered.
///
/// # Errors
/// Everything that would go wrong later: a folder that cannot be read or is the one to write
/// `into`, two artworks whose products would have the same names, or no artwork at all. Whether a
/// file is there is seen when its turn comes.
pub fn gather(given: &[PathBuf], into: &Path, readers: &Readers) -> Result<Gathered, Failed> {
    let mut gathered = Gathered::default();
    let mut problems = Vec::new();
    for path in given {
        if !path.is_dir() {
            gathered.take(path.clone());
        } else if same_place(path, into) {
            problems.push(
                Diagnostic::error(
                    "same-folder",
                    format!(
                        "{} is both the folder of the artwork and the one to write into",
                        path.display()
                    ),
                )
                .help("Name another folder with --into; what is written would be the next run's artwork."),
            );
        } else if let Err(problem) = gathered.take_folder(path, readers) {
            problems.push(problem);
        }
    }
    problems.extend(gathered.collisions());
    if problems.is_empty() && gathered.artworks.is_empty() {
        problems.push(
            Diagnostic::error("no-artwork", "there is no artwork to sew").help(format!(
                "Name files, or folders that hold {} files.",
                readers.endings_in_words()
            )),
        );
    }
    if problems.is_empty() {
        Ok(gathered)
    } else {
        Err(Failed(problems))
    }
}

fn same_place(one: &Path, other: &Path) -> bool {
    match (one.canonicalize(), other.canonicalize()) {
        (Ok(one), Ok(other)) => one == other,
        _ => false,
    }
}

impl Gathered {
    fn take(&mut self, path: PathBuf) {
        let name = artwork::name_of(&path);
        self.artworks.push(Artwork { path, name });
    }

    fn take_folder(&mut self, folder: &Path, readers: &Readers) -> Result<(), Diagnostic> {
        let files = artwork::entries_of(folder)?;
        let files = files.into_iter().filter(|path| path.is_file());
        let (artworks, others): (Vec<_>, Vec<_>) =
            files.partition(|path| named_like_artwork(path, readers));
        artworks.into_iter().for_each(|path| self.take(path));
        if !others.is_empty() {
            let names: Vec<String> = others.iter().map(|path| file_name(path)).collect();
            self.notes.push(Diagnostic::note(
                "left-out",
                format!(
                    "left out of {}, because they are not named like artwork: {}",
                    folder.display(),
                    names.join(", ")
                ),
            ));
        }
        Ok(())
    }

    /// Names that fall together, also where a file system takes large and small letters for the
    /// same.
    fn collisions(&self) -> Vec<Diagnostic> {
        let mut by_name: BTreeMap<String, Vec<&Artwork>> = BTreeMap::new();
        for artwork in &self.artworks {
            let same = by_name.entry(artwork.name.to_lowercase()).or_default();
            same.push(artwork);
        }
        by_name
            .into_values()
            .filter(|same| same.len() > 1)
            .map(|same| {
                let paths: Vec<String> = same
                    .iter()
                    .map(|artwork| artwork.path.display().to_string())
                    .collect();
                Diagnostic::error(
                    "same-name",
                    format!(
                        "the products of {} artworks would all be named \"{}\": {}",
                        same.len(),
                        same[0].name,
                        paths.join(", ")
                    ),
                )
                .help("Rename them, or sew them into different folders.")
            })
            .collect()
    }
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// Names that begin with a dot are an editor's or the system's own.
fn named_like_artwork(path: &Path, readers: &Readers) -> bool {
    !file_name(path).starts_with('.') && readers.know_the_name(path)
}
