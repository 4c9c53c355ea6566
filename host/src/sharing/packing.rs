//! A pipeline with all that it needs, gathered into a pack.

use super::files::{Read, files_of};
use super::lock::{Hold, Lock, Source, hold, path_of};
use super::{Pack, PackPath};
use crate::diagnostics::{Diagnostic, Failed};
use crate::json::Document;
use crate::pipeline::{self, LARGEST_MIB, Opened};
use crate::plugins::{PROJECT_FOLDER, Sources};
use crate::reading::read_text;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Packs a pipeline: itself, the files it names, the plugins it uses (the stock ones too, so that
/// another build of the program runs the same bytes) and their lock. The files lie in the pack as
/// they lie to each other now; the plugins lie in the pipeline's folder of steps, and its own list of
/// places for plugins is emptied.
///
/// # Errors
/// Everything that is wrong with the pipeline, differs from its lock where it has one, or cannot be
/// packed.
pub fn pack(file: &Path, sources: &Sources) -> Result<Pack, Failed> {
    let opened = pipeline::open(file, sources)?;
    let strictness = if path_of(file).exists() {
        Hold::Locked
    } else {
        Hold::Told
    };
    hold(file, &opened, strictness).map_err(Failed)?;
    let document = Document::parse(file, read_text(file, LARGEST_MIB)?).map_err(Failed)?;
    let (named, unnamed) = files_of(&document);
    let up = named.iter().map(|read| read.way.up).max().unwrap_or(0);
    let mut gathered = Gathered::new(&document, up)?;
    gathered.problems = unnamed;
    gathered.take_pipeline();
    for Read { way, bytes } in named {
        let down: Vec<&str> = way.down.iter().map(String::as_str).collect();
        gathered.take(way.up, &down, bytes);
    }
    gathered.take_plugins(&opened);
    let Gathered {
        pipeline,
        files,
        mut problems,
        ..
    } = gathered;
    if let Some(pipeline) = pipeline.filter(|_| problems.is_empty()) {
        match Pack::new(&opened.checked.pipeline.title, &pipeline, files) {
            Ok(pack) => return Ok(pack),
            Err(found) => problems.extend(found.into_iter().map(cannot)),
        }
    }
    Err(Failed(problems))
}

fn cannot(why: String) -> Diagnostic {
    Diagnostic::error("cannot-pack", why)
}

/// What a pack will hold.
struct Gathered<'a> {
    document: &'a Document,
    /// The pipeline's own folder in the pack.
    folder: Vec<String>,
    pipeline: Option<PackPath>,
    files: BTreeMap<PackPath, Vec<u8>>,
    problems: Vec<Diagnostic>,
}

impl<'a> Gathered<'a> {
    /// The folders that the pipeline lies in are part of the pack, as many as lie below all files.
    fn new(document: &'a Document, up: usize) -> Result<Self, Diagnostic> {
        let folder = match document.file.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let real = folder.canonicalize().map_err(|error| {
            let words = format!("{} cannot be read: {error}", folder.display());
            Diagnostic::error("unreadable", words)
        })?;
        let mut names: Vec<String> = real
            .iter()
            .rev()
            .take(up)
            .map(|name| name.to_string_lossy().into_owned())
            .collect();
        names.reverse();
        Ok(Self {
            document,
            folder: names,
            pipeline: None,
            files: BTreeMap::new(),
            problems: Vec::new(),
        })
    }

    /// The pipeline, which needs no plugins from elsewhere any more.
    fn take_pipeline(&mut self) {
        let document = self.document;
        let mut text = document.text.clone();
        if document.value.get("plugins").is_some() {
            text.replace_range(document.value_range("/plugins"), "[]");
        }
        let name = document
            .file
            .file_name()
            .unwrap_or_default()
            .to_string_lossy();
        self.pipeline = self.take(0, &[&name], text.into_bytes());
    }

    /// The plugins, and the lock as it will hold where the pack is unpacked.
    fn take_plugins(&mut self, opened: &Opened) {
        let file = &self.document.file;
        let mut lock = Lock::of(file, opened);
        for locked in &mut lock.steps {
            let name = format!("{}.wasm", locked.step);
            locked.source = Source::File(format!("{PROJECT_FOLDER}/{name}"));
            if let Some(Ok(plugin)) = opened.plugins.get(&locked.step) {
                self.take(0, &[PROJECT_FOLDER, &name], plugin.bytes.to_vec());
            }
        }
        let name = path_of(file);
        let name = name.file_name().unwrap_or_default().to_string_lossy();
        self.take(0, &[&name], lock.to_bytes());
    }

    /// Takes a file so many folders up from the pipeline's, and these names down.
    fn take(&mut self, up: usize, down: &[&str], bytes: Vec<u8>) -> Option<PackPath> {
        let kept = self.folder.len().saturating_sub(up);
        let folders = self.folder[..kept].iter().map(String::as_str);
        let path = folders
            .chain(down.iter().copied())
            .collect::<Vec<_>>()
            .join("/");
        match PackPath::parse(&path) {
            Ok(path) => {
                // One file may be named twice; it is the same file then.
                if self.files.get(&path).is_some_and(|there| *there != bytes) {
                    self.problems
                        .push(cannot(format!("two files would lie at {path}")));
                }
                self.files.insert(path.clone(), bytes);
                Some(path)
            }
            Err(why) => {
                let words = format!("the path \"{}\" {why}", path.escape_debug());
                let told = cannot(words)
                    .help("Rename it: a pack's files have names that every system can write.");
                self.problems.push(told);
                None
            }
        }
    }
}

/// Where a pack is written, which must be named like one.
///
/// # Errors
/// The name does not end in `.pack`, or has characters that its signature cannot name.
pub fn pack_file(to: &Path) -> Result<(PathBuf, String), Diagnostic> {
    let name = to
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let fits = super::manifest::plain(&name) == name && name.len() > super::ENDING.len();
    if !fits || !name.ends_with(super::ENDING) {
        return Err(Diagnostic::error(
            "bad-name",
            format!("{} is not named like a pack", to.display()),
        )
        .help("Let the name end in .pack."));
    }
    Ok((to.to_owned(), name))
}
