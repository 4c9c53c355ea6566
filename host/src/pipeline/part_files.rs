//! Where the files of parts lie.

use crate::artwork::read_text;
use crate::diagnostics::Diagnostic;
use crate::json::MARK;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The largest part read, in MiB.
const LARGEST_MIB: u64 = 16;

/// The path of the part that `file` includes under a name: it is taken from the folder of `file`.
pub(super) fn path(file: &Path, name: &str) -> PathBuf {
    file.parent().unwrap_or(Path::new("")).join(name)
}

/// One and the same path for all paths that lead to a file.
pub(super) fn the_file(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}

/// Reads the file of a part.
///
/// # Errors
/// Why it cannot be read.
pub(super) fn read(path: &Path) -> Result<String, Diagnostic> {
    read_text(path, LARGEST_MIB).map_err(|missing| {
        missing.help("A part's path is taken from the folder of the file that includes it.")
    })
}

/// All files that a pipeline reads besides itself, as far as they can be found: its rack, its machine's
/// profile, its parts and theirs. Nothing where the pipeline is not JSON.
pub fn named_files(pipeline: &Path, text: &[u8]) -> Option<BTreeSet<PathBuf>> {
    let value = value_of(text)?;
    let mut files = BTreeSet::new();
    for name in ["rack", "machine"] {
        let name = value.get(name).and_then(Value::as_str);
        files.extend(name.map(|name| path(pipeline, name)));
    }
    let mut open = included(pipeline, &value);
    let mut known = BTreeSet::new();
    while let Some(part) = open.pop() {
        if !known.insert(the_file(&part)) {
            continue;
        }
        files.insert(part.clone());
        let text = read(&part).unwrap_or_default();
        let value = value_of(text.as_bytes()).unwrap_or(Value::Null);
        open.extend(included(&part, &value));
    }
    Some(files)
}

/// What the text of a file means, where it is JSON.
fn value_of(text: &[u8]) -> Option<Value> {
    let text = text.strip_prefix(MARK.as_bytes()).unwrap_or(text);
    serde_json::from_slice(text).ok()
}

/// The parts that a file includes.
fn included(file: &Path, value: &Value) -> Vec<PathBuf> {
    let steps = value.get("steps").and_then(Value::as_array);
    let names = steps.into_iter().flatten();
    names
        .filter_map(|entry| Some(path(file, entry.get("part")?.as_str()?)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_files_of_a_pipeline_are_named_and_circles_end() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        std::fs::create_dir(at("parts")).expect("a folder");
        let part = |name: &str, text: &str| std::fs::write(at(name), text).expect("written");
        part(
            "parts/a.json",
            r#"{"steps": [{"part": "b.json"}, {"part": 7}]}"#,
        );
        part(
            "parts/b.json",
            r#"{"steps": [{"part": "../parts/a.json"}, {"part": "gone.json"}]}"#,
        );
        part("parts/broken.json", "{");
        let text = r#"{"rack": "rack.csv", "machine": {}, "steps": [
            {"step": "x"}, {"part": "parts/a.json"}, {"part": "parts/broken.json"}]}"#;
        let marked = format!("{MARK}{text}");
        let named = named_files(&at("routine.json"), marked.as_bytes()).expect("JSON");
        let expected = [
            "parts/a.json",
            "parts/b.json",
            "parts/broken.json",
            "parts/gone.json",
            "rack.csv",
        ];
        assert_eq!(named.into_iter().collect::<Vec<_>>(), expected.map(at));
        assert_eq!(named_files(&at("routine.json"), b"{"), None);
    }
}
