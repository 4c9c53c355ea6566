//! Which files a pipeline reads besides its plugins.

use super::PackPath;
use super::limits::FILE_MIB;
use crate::diagnostics::Diagnostic;
use crate::json::Document;
use crate::pipeline::{Named, each_named};
use crate::reading::read_bytes;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// How a file is reached from the pipeline's folder: so many folders up, then these names down.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Way {
    pub up: usize,
    pub down: Vec<String>,
}

/// A file that a pipeline reads.
pub(super) struct Read {
    pub way: Way,
    pub bytes: Vec<u8>,
}

/// The files that a pipeline names, and those that its parts name: its rack, its machine's profile,
/// the parts themselves; each once. Beside them everything that keeps one from being packed.
pub(super) fn files_of(pipeline: &Document) -> (Vec<Read>, Vec<Diagnostic>) {
    let own = Way {
        up: 0,
        down: Vec::new(),
    };
    let mut search = Search {
        folders: BTreeMap::from([(pipeline.file.clone(), own)]),
        ..Search::default()
    };
    each_named(pipeline, &mut |named| {
        search.take(named).unwrap_or_else(|problem| {
            let range = named.by.value_range(&named.pointer);
            search.problems.push(named.by.point(problem, range));
            None
        })
    });
    (search.files, search.problems)
}

#[derive(Default)]
struct Search {
    known: BTreeSet<Way>,
    /// The ways to the folders of the pipeline and of parts, by the files that lie in them.
    folders: BTreeMap<PathBuf, Way>,
    files: Vec<Read>,
    problems: Vec<Diagnostic>,
}

impl Search {
    /// Takes a file, unless it was taken before. A part is given back, to be looked into; what is wrong with
    /// one was told when the pipeline was checked.
    fn take(&mut self, named: &Named<'_>) -> Result<Option<Document>, Diagnostic> {
        let way = Way::parse(named.name)?;
        let way = match self.folders.get(&named.by.file) {
            Some(folder) => folder.then(&way),
            None => way,
        };
        if !self.known.insert(way.clone()) {
            return Ok(None);
        }
        way.check_names(named.name)?;
        let bytes = read_bytes(&named.path, FILE_MIB)?;
        let part = named.is_part.then(|| {
            self.folders.insert(named.path.clone(), way.folder());
            let text = String::from_utf8_lossy(&bytes).into_owned();
            Document::parse(&named.path, text).ok()
        });
        self.files.push(Read { way, bytes });
        Ok(part.flatten())
    }
}

impl Way {
    /// The way of a path that is the same on every system and wherever the pipeline lies.
    ///
    /// # Errors
    /// The path is absolute, or not written plainly.
    fn parse(path: &str) -> Result<Self, Diagnostic> {
        let refuse = |why: &str, help: &str| {
            let words = format!("\"{path}\" cannot be packed: {why}");
            Err(Diagnostic::error("path-not-portable", words).help(help))
        };
        if path.starts_with('/') || path.contains(':') || Path::new(path).is_absolute() {
            return refuse(
                "the path is not relative to the file that names it",
                "Put the file beside the pipeline, and name it from there.",
            );
        }
        if path.contains('\\') {
            return refuse(
                "it has \\ between names",
                "Write / between names; every system takes it.",
            );
        }
        let names: Vec<&str> = path.split('/').filter(|name| *name != ".").collect();
        let up = names.iter().take_while(|name| **name == "..").count();
        let down = &names[up..];
        if down.is_empty() || down.iter().any(|name| name.is_empty() || *name == "..") {
            return refuse(
                "it leads down and up again, or to no file",
                "Write the shortest path to the file.",
            );
        }
        Ok(Self {
            up,
            down: down.iter().map(|name| (*name).to_owned()).collect(),
        })
    }

    /// Whether every system can write the names that it leads down by.
    fn check_names(&self, path: &str) -> Result<(), Diagnostic> {
        PackPath::parse(&self.down.join("/"))
            .map(|_| ())
            .map_err(|why| {
                let words = format!("\"{path}\" cannot be packed: the path {why}");
                Diagnostic::error("cannot-pack", words)
                    .help("Rename it to what every system can write.")
            })
    }

    /// This way to a folder, and another on from there.
    fn then(&self, next: &Self) -> Self {
        let kept = self.down.len().saturating_sub(next.up);
        let mut down = self.down[..kept].to_vec();
        down.extend(next.down.iter().cloned());
        Self {
            up: self.up + next.up.saturating_sub(self.down.len()),
            down,
        }
    }

    /// The way to the folder of a file.
    fn folder(&self) -> Self {
        let names = self.down.len().saturating_sub(1);
        Self {
            up: self.up,
            down: self.down[..names].to_vec(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(up: usize, down: &[&str]) -> Way {
        let down = down.iter().map(|name| (*name).to_owned()).collect();
        Way { up, down }
    }

    #[test]
    fn only_plain_relative_paths_have_a_way() {
        let parsed = Way::parse("../.././racks/a.csv");
        assert_eq!(parsed, Ok(way(2, &["racks", "a.csv"])));
        for bad in [
            "/a.csv",
            "C:/a.csv",
            "a\\b.csv",
            "a/../b.csv",
            "..",
            "",
            "a//b.csv",
            "a/",
        ] {
            assert!(Way::parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn ways_lead_on_from_folders() {
        let folder = way(1, &["parts"]);
        assert_eq!(
            folder.then(&way(0, &["a.json"])),
            way(1, &["parts", "a.json"])
        );
        assert_eq!(folder.then(&way(1, &["a.json"])), way(1, &["a.json"]));
        assert_eq!(folder.then(&way(3, &["a.json"])), way(3, &["a.json"]));
        assert_eq!(way(1, &["parts", "a.json"]).folder(), folder);
    }

    #[test]
    fn parts_name_files_too_and_circles_end() {
        let folder = tempfile::tempdir().expect("a folder");
        let put = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
            std::fs::write(&path, text).expect("written");
            path
        };
        put("rack.csv", "");
        put(
            "parts/a.json",
            r#"{ "steps": [{ "part": "b.json" }, { "step": "x" }] }"#,
        );
        put(
            "parts/b.json",
            r#"{ "steps": [{ "part": "../parts/a.json" }, { "part": "a.json" }] }"#,
        );
        let text =
            r#"{ "rack": "../rack.csv", "machine": {}, "steps": [{ "part": "../parts/a.json" }] }"#;
        let file = put("owl/owl.json", text);
        let document = Document::parse(&file, text.to_owned()).expect("JSON");
        let (files, problems) = files_of(&document);
        assert_eq!(problems, []);
        let mut ways: Vec<Way> = files.into_iter().map(|file| file.way).collect();
        ways.sort();
        let wanted = [
            &["parts", "a.json"][..],
            &["parts", "b.json"],
            &["rack.csv"],
        ];
        assert_eq!(ways, wanted.map(|down| way(1, down)));
    }
}
