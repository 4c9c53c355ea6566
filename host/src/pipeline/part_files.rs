//! Where the files of parts lie, and which files a pipeline names.

use crate::diagnostics::Diagnostic;
use crate::json::Document;
use crate::reading::read_named_text;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The largest part read, in MiB.
const LARGEST_MIB: u64 = 16;

/// How many parts may stand in each other.
pub(super) const DEEPEST: usize = 16;

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
    let from = "A part's path is taken from the folder of the file that includes it.";
    read_named_text(path, LARGEST_MIB, from)
}

/// A file as another names it.
pub struct Named<'a> {
    /// The file that names it.
    pub by: &'a Document,
    /// Where in that file its name stands, as a JSON Pointer.
    pub pointer: String,
    /// Its name, as it is written there.
    pub name: &'a str,
    /// Where it lies.
    pub path: PathBuf,
    /// Whether it is a part, which names files itself.
    pub is_part: bool,
}

/// Goes through the names of files in a pipeline, its rack, its machine's profile and its parts, and through
/// those in the parts that `visit` gives: it is told each name, and decides which part is looked into.
pub fn each_named(pipeline: &Document, visit: &mut dyn FnMut(&Named<'_>) -> Option<Document>) {
    go_through(pipeline, DEEPEST, visit);
}

/// So many more parts may stand within each other.
fn go_through(
    file: &Document,
    deeper: usize,
    visit: &mut dyn FnMut(&Named<'_>) -> Option<Document>,
) {
    for named in named_in(file) {
        let part = visit(&named);
        if let (Some(part), Some(deeper)) = (part, deeper.checked_sub(1)) {
            go_through(&part, deeper, visit);
        }
    }
}

/// The files that one file names.
fn named_in(by: &Document) -> impl Iterator<Item = Named<'_>> {
    let named = |pointer: String, is_part: bool| {
        let name = by.value.pointer(&pointer)?.as_str()?;
        Some(Named {
            by,
            pointer,
            name,
            path: path(&by.file, name),
            is_part,
        })
    };
    let steps = by.value.get("steps").and_then(Value::as_array);
    let parts = (0..steps.map_or(0, Vec::len)).map(|i| (format!("/steps/{i}/part"), true));
    let own = ["/rack", "/machine"].map(|pointer| (pointer.to_owned(), false));
    own.into_iter()
        .chain(parts)
        .filter_map(move |(pointer, is_part)| named(pointer, is_part))
}

/// All files that a pipeline reads besides itself, as far as they can be found: its rack, its machine's
/// profile, its parts and theirs. Nothing where the pipeline is not JSON.
pub fn named_files(pipeline: &Path, text: &[u8]) -> Option<BTreeSet<PathBuf>> {
    let text = std::str::from_utf8(text).ok()?;
    let pipeline = Document::parse(pipeline, text.to_owned()).ok()?;
    let mut files = BTreeSet::new();
    let mut known = BTreeSet::new();
    each_named(&pipeline, &mut |named| {
        if named.is_part && !known.insert(the_file(&named.path)) {
            return None;
        }
        files.insert(named.path.clone());
        let text = named.is_part.then(|| read(&named.path).ok()).flatten()?;
        Document::parse(&named.path, text).ok()
    });
    Some(files)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::json::MARK;

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
