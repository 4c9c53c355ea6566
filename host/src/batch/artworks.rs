//! Which artworks a batch has, and what each one's products are called.

use crate::artwork::{self, Readers};
use crate::diagnostics::{Choice, Diagnostic, Failed};
use crate::job::Forms;
use crate::output::{folder_of, report_of_a_run};
use crate::reading;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// One artwork of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchArtwork {
    /// Its file.
    pub path: PathBuf,
    /// The first part of the names of its products.
    pub name: String,
    /// Why it cannot be sewn in this batch: another's products would have the same names.
    pub trouble: Option<Diagnostic>,
}

/// What a batch will sew.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gathered {
    /// The artworks, in the order in which they were given; those of a folder by name. Each is there
    /// once, however often it was given.
    pub artworks: Vec<BatchArtwork>,
    /// Files that were left out.
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
/// artwork. Folders within a folder are not entered. What an earlier run has written beside an SVG of
/// the batch is no artwork.
///
/// # Errors
/// Everything that would go wrong later for all: a folder that cannot be read or is the one to write
/// `into`, or no artwork at all. Whether a file is there is seen when its turn comes.
pub fn gather(given: &[PathBuf], into: &Path, forms: &Forms) -> Result<Gathered, Failed> {
    let readers = &forms.readers;
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
                .help("What is written would be the next run's artwork; name another folder.")
                .choosing(Choice::Place),
            );
        } else if let Err(problem) = gathered.take_folder(path, readers) {
            problems.push(problem);
        }
    }
    gathered.take_once();
    let endings: Vec<&str> = forms.writers.endings().collect();
    gathered.leave_products_out(&endings, into);
    gathered.part_from_namesakes();
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
        self.artworks.push(BatchArtwork {
            path,
            name,
            trouble: None,
        });
    }

    fn take_folder(&mut self, folder: &Path, readers: &Readers) -> Result<(), Diagnostic> {
        let files = reading::entries_of(folder)?;
        // A link that leads nowhere is artwork that fails when its turn comes.
        let files = files.into_iter().filter(|path| !path.is_dir());
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

    /// Of paths that lead to one file, the first is kept. A link of another name is artwork of its own.
    fn take_once(&mut self) {
        let mut known = BTreeSet::new();
        self.artworks.retain(|artwork| {
            let file = artwork.path.canonicalize();
            let file = file.unwrap_or_else(|_| artwork.path.clone());
            known.insert((file, artwork.name.to_lowercase()))
        });
    }

    /// Leaves out what an earlier run has written beside an SVG, and its previews, which are SVG
    /// themselves. In the folder to write into nothing is taken for a product: it would be written over.
    fn leave_products_out(&mut self, endings: &[&str], into: &Path) {
        let mut makers: BTreeMap<PathBuf, PathBuf> = BTreeMap::new();
        for artwork in self.artworks.iter().filter(|artwork| is_svg(&artwork.path)) {
            let Ok(folder) = folder_of(&artwork.path).canonicalize() else {
                continue;
            };
            if same_place(&folder, into) {
                continue;
            }
            if report_of_a_run(&folder, &artwork.name).is_some() {
                for ending in endings {
                    let product = folder.join(format!("{}.{ending}", artwork.name));
                    makers.insert(product, artwork.path.clone());
                }
            }
            let previewed = artwork.name.strip_suffix(".preview");
            if let Some(report) = previewed.and_then(|name| report_of_a_run(&folder, name)) {
                let preview = folder.join(file_name(&artwork.path));
                makers.entry(preview).or_insert(report);
            }
        }
        let mut left: BTreeMap<PathBuf, Vec<String>> = BTreeMap::new();
        self.artworks.retain(|artwork| {
            let name = file_name(&artwork.path);
            let folder = folder_of(&artwork.path).canonicalize();
            let maker = folder
                .ok()
                .and_then(|folder| makers.get(&folder.join(&name)));
            if let Some(maker) = maker {
                left.entry(maker.clone()).or_default().push(name);
            }
            maker.is_none()
        });
        self.notes.extend(left.into_iter().map(|(maker, names)| {
            Diagnostic::note(
                "left-out",
                format!(
                    "left out, because a run made them, with {}: {}",
                    maker.display(),
                    names.join(", ")
                ),
            )
        }));
    }

    /// Names that fall together, also where a file system takes large and small letters for the
    /// same, are trouble for those that have them.
    fn part_from_namesakes(&mut self) {
        let mut by_name: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (place, artwork) in self.artworks.iter().enumerate() {
            let same = by_name.entry(artwork.name.to_lowercase()).or_default();
            same.push(place);
        }
        for same in by_name.into_values().filter(|same| same.len() > 1) {
            let paths: Vec<String> = same
                .iter()
                .map(|&place| self.artworks[place].path.display().to_string())
                .collect();
            let trouble = Diagnostic::error(
                "same-name",
                format!(
                    "the products of {} artworks would all be named \"{}\": {}",
                    same.len(),
                    self.artworks[same[0]].name,
                    paths.join(", ")
                ),
            )
            .help("Rename them, or sew them into different folders.");
            for place in same {
                self.artworks[place].trouble = Some(trouble.clone());
            }
        }
    }
}

fn is_svg(path: &Path) -> bool {
    path.extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("svg"))
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
