//! Which files a pipeline reads besides its plugins.

use crate::artwork::read_text;
use crate::diagnostics::Diagnostic;
use crate::json::Document;
use crate::pipeline::LARGEST_MIB;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A file that a pipeline, or a part of it, names.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Named {
    /// Where it lies.
    pub file: PathBuf,
    /// How it is reached from the pipeline's folder.
    pub way: Way,
}

/// How a file is reached from the pipeline's folder: so many folders up, then these names down.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Way {
    pub up: usize,
    pub down: Vec<String>,
}

/// The files that a pipeline names: its rack, its machine's profile, its parts and theirs.
///
/// # Errors
/// Each path that would not lead there in another shop, with its place, beside the files that do.
pub(super) fn files_of(pipeline: &Document) -> (Vec<Named>, Vec<Diagnostic>) {
    let mut files = Vec::new();
    let mut problems = Vec::new();
    let mut known = BTreeSet::new();
    let mut open = vec![(pipeline.clone(), Way::default())];
    while let Some((document, from)) = open.pop() {
        let folder = document.file.parent().unwrap_or(Path::new(""));
        for (pointer, path) in paths_in(&document.value) {
            let way = match from.on(path) {
                Ok(way) => way,
                Err(problem) => {
                    problems.push(document.point(problem, document.value_range(&pointer)));
                    continue;
                }
            };
            let file = folder.join(path);
            let is_part = pointer.ends_with("/part");
            if is_part && known.insert(way.down.clone()) {
                let read = read_text(&file, LARGEST_MIB).map_err(|problem| vec![problem]);
                match read.and_then(|text| Document::parse(&file, text)) {
                    Ok(part) => open.push((part, way.folder())),
                    Err(found) => problems.extend(found),
                }
            }
            files.push(Named { file, way });
        }
    }
    (files, problems)
}

/// The paths that stand in a pipeline or a part, with the places of each.
fn paths_in(value: &Value) -> Vec<(String, &str)> {
    let steps = value.get("steps").and_then(Value::as_array);
    let parts = steps.into_iter().flatten().enumerate();
    let parts = parts.map(|(i, step)| (format!("/steps/{i}/part"), step.get("part")));
    let own = ["rack", "machine"].map(|key| (format!("/{key}"), value.get(key)));
    let all = own.into_iter().chain(parts);
    all.filter_map(|(pointer, value)| Some((pointer, value?.as_str()?)))
        .collect()
}

impl Way {
    /// The way on from this folder along a path, where that is the same on every system and wherever
    /// the pipeline lies.
    ///
    /// # Errors
    /// The path is absolute, or not written plainly.
    fn on(&self, path: &str) -> Result<Self, Diagnostic> {
        let refuse = |why: &str, help: &str| {
            let words = format!("\"{path}\" cannot be packed: {why}");
            Err(Diagnostic::error("path-not-portable", words).help(help))
        };
        let absolute = path.starts_with('/') || Path::new(path).is_absolute();
        if absolute || path.contains(':') {
            return refuse(
                "the path is not relative to the file that names it",
                "Put the file beside the one that names it, and name it from there.",
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
                "Write the shortest path from the folder it stands in to the file.",
            );
        }
        let kept = self.down.len().saturating_sub(up);
        let mut way = Self {
            up: self.up + up - (self.down.len() - kept),
            down: self.down[..kept].to_vec(),
        };
        way.down.extend(down.iter().map(|name| (*name).to_owned()));
        Ok(way)
    }

    /// The way to the folder of the file that this leads to.
    fn folder(mut self) -> Self {
        self.down.pop();
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(up: usize, down: &[&str]) -> Way {
        Way {
            up,
            down: down.iter().map(|name| (*name).to_owned()).collect(),
        }
    }

    #[test]
    fn only_plain_relative_paths_have_a_way() {
        let from_pipeline = |path| Way::default().on(path);
        assert_eq!(
            from_pipeline("../.././racks/a.csv"),
            Ok(way(2, &["racks", "a.csv"]))
        );
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
            assert!(from_pipeline(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn ways_lead_on_from_parts() {
        let part = way(1, &["parts", "edges.json"]).folder();
        assert_eq!(part.on("fine.json"), Ok(way(1, &["parts", "fine.json"])));
        assert_eq!(part.on("../a.json"), Ok(way(1, &["a.json"])));
        assert_eq!(part.on("../../b/a.json"), Ok(way(2, &["b", "a.json"])));
    }
}
