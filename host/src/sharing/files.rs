//! Which files a pipeline reads besides its plugins.

use crate::diagnostics::Diagnostic;
use crate::json::Document;
use serde_json::Value;
use std::ops::Range;

/// A file that a pipeline names.
pub(super) struct Named<'a> {
    /// Its path, as written: relative to the pipeline.
    pub path: &'a str,
    /// Where it is written.
    pub range: Range<usize>,
}

/// The files that a pipeline names: its rack and its machine's profile.
pub(super) fn files_of(pipeline: &Document) -> Vec<Named<'_>> {
    ["rack", "machine"]
        .into_iter()
        .filter_map(|key| {
            let path = pipeline.value.get(key).and_then(Value::as_str)?;
            let range = pipeline.value_range(&format!("/{key}"));
            Some(Named { path, range })
        })
        .collect()
}

/// How a file is reached from the pipeline's folder: so many folders up, then these names down.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Way<'a> {
    pub up: usize,
    pub down: Vec<&'a str>,
}

impl Named<'_> {
    /// The way to the file, where it is the same on every system and wherever the pipeline lies.
    ///
    /// # Errors
    /// The path is absolute, or not written plainly.
    pub fn way(&self) -> Result<Way<'_>, Diagnostic> {
        let refuse = |why: &str, help: &str| {
            let words = format!("\"{}\" cannot be packed: {why}", self.path);
            Err(Diagnostic::error("path-not-portable", words).help(help))
        };
        let absolute = self.path.starts_with('/') || std::path::Path::new(self.path).is_absolute();
        if absolute || self.path.contains(':') {
            return refuse(
                "the path is not relative to the pipeline",
                "Put the file beside the pipeline, and name it from there.",
            );
        }
        if self.path.contains('\\') {
            return refuse(
                "it has \\ between names",
                "Write / between names; every system takes it.",
            );
        }
        let names: Vec<&str> = self.path.split('/').filter(|name| *name != ".").collect();
        let up = names.iter().take_while(|name| **name == "..").count();
        let down = names[up..].to_vec();
        if down.is_empty() || down.iter().any(|name| name.is_empty() || *name == "..") {
            return refuse(
                "it leads down and up again, or to no file",
                "Write the shortest path from the pipeline's folder to the file.",
            );
        }
        Ok(Way { up, down })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_relative_paths_have_a_way() {
        let named = |path| Named { path, range: 0..0 };
        assert_eq!(
            named("../.././racks/a.csv").way(),
            Ok(Way {
                up: 2,
                down: vec!["racks", "a.csv"]
            })
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
            assert!(named(bad).way().is_err(), "{bad}");
        }
    }
}
