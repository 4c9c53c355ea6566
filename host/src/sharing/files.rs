//! Which files a pipeline reads besides its plugins.

use super::PackPath;
use super::limits::FILE_MIB;
use crate::artwork::read_bytes;
use crate::diagnostics::Diagnostic;
use crate::json::Document;
use serde_json::Value;
use std::collections::BTreeSet;
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
    let mut search = Search::default();
    search.look_into(
        pipeline,
        &Way {
            up: 0,
            down: Vec::new(),
        },
    );
    (search.files, search.problems)
}

#[derive(Default)]
struct Search {
    known: BTreeSet<Way>,
    files: Vec<Read>,
    problems: Vec<Diagnostic>,
}

impl Search {
    /// Takes what the file `document` names, whose folder is reached by `folder`.
    fn look_into(&mut self, document: &Document, folder: &Way) {
        for named in named(&document.value) {
            let range = document.value_range(&named.pointer);
            let found = Way::parse(named.path).and_then(|way| {
                let way = folder.then(&way);
                if !self.known.insert(way.clone()) {
                    return Ok(());
                }
                way.check_names(named.path)?;
                let path = folder_of(&document.file).join(named.path);
                let bytes = read_bytes(&path, FILE_MIB)?;
                if named.is_part {
                    self.look_into_part(&path, &bytes, &way);
                }
                self.files.push(Read { way, bytes });
                Ok(())
            });
            if let Err(problem) = found {
                self.problems.push(document.point(problem, range));
            }
        }
    }

    /// What is wrong with a part was told when the pipeline was checked.
    fn look_into_part(&mut self, path: &Path, bytes: &[u8], way: &Way) {
        let text = String::from_utf8_lossy(bytes).into_owned();
        if let Ok(part) = Document::parse(path, text) {
            self.look_into(&part, &way.folder());
        }
    }
}

/// A file's name as it is written in another.
struct Named<'a> {
    pointer: String,
    path: &'a str,
    is_part: bool,
}

fn named(value: &Value) -> Vec<Named<'_>> {
    let own = ["rack", "machine"].into_iter().filter_map(|key| {
        Some(Named {
            pointer: format!("/{key}"),
            path: value.get(key)?.as_str()?,
            is_part: false,
        })
    });
    let steps = value.get("steps").and_then(Value::as_array);
    let parts = steps.into_iter().flatten().enumerate();
    let parts = parts.filter_map(|(i, entry)| {
        Some(Named {
            pointer: format!("/steps/{i}/part"),
            path: entry.get("part")?.as_str()?,
            is_part: true,
        })
    });
    own.chain(parts).collect()
}

fn folder_of(file: &Path) -> PathBuf {
    file.parent().unwrap_or(Path::new("")).to_owned()
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
