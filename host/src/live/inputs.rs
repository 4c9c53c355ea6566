//! The files that a run reads, and what was in them.

use crate::fingerprint::Fingerprint;
use crate::json::MARK;
use crate::pipeline::{LARGEST_MIB, named_files};
use crate::plugins::{self, Sources};
use crate::reading::read_bytes;
use crate::sharing::lock;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The files that a run reads.
#[derive(Debug)]
pub(super) struct Inputs {
    pub artwork: PathBuf,
    pub pipeline: PathBuf,
    /// Plugins, and folders of them, as the last pipeline that could be read names them.
    plugins: Vec<PathBuf>,
    /// Rack, machine's profile and parts, likewise.
    named: BTreeSet<PathBuf>,
}

/// What was in the files: a digest of each, or nothing where it could not be read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Contents {
    files: BTreeMap<PathBuf, Option<Fingerprint>>,
    plugins: BTreeMap<PathBuf, Option<Fingerprint>>,
}

impl Inputs {
    pub fn new(artwork: PathBuf, pipeline: PathBuf) -> Self {
        Self {
            artwork,
            pipeline,
            plugins: Vec::new(),
            named: BTreeSet::new(),
        }
    }

    /// Looks into all files.
    pub fn contents(&mut self, sources: &Sources) -> Contents {
        let pipeline = read_bytes(&self.pipeline, LARGEST_MIB).ok();
        let text = pipeline.as_deref();
        if let Some(named) = text.and_then(|text| named_files(&self.pipeline, text)) {
            self.named = named;
        }
        let bare = text.map(|text| text.strip_prefix(MARK.as_bytes()).unwrap_or(text));
        let value = bare.map(serde_json::from_slice::<Value>);
        if let Some(Ok(value)) = value {
            let folder = self.pipeline.parent().unwrap_or(Path::new(""));
            self.plugins = sources.paths(folder, &value);
        }
        let look = |path: &Path| (path.to_owned(), Fingerprint::of_file(path).ok());
        let mut files = BTreeMap::from([look(&self.artwork)]);
        files.insert(self.pipeline.clone(), text.map(Fingerprint::of));
        files.extend(self.named.iter().map(|path| look(path)));
        files.extend([look(&lock::path_of(&self.pipeline))]);
        let plugins = self.plugins.iter().flat_map(|path| plugin_files(path));
        Contents {
            files,
            plugins: plugins.map(|path| look(&path)).collect(),
        }
    }

    /// The folders in which a change is of interest: where the files are, and where they really are
    /// if a link leads there. A folder is watched rather than a file, because editors put a new file
    /// in the old one's place.
    pub fn folders(&self) -> BTreeSet<PathBuf> {
        let mut folders = BTreeSet::new();
        let files = [&self.artwork, &self.pipeline];
        let mut add = |file: &Path| {
            folders.insert(folder_of(file));
            if let Ok(real) = file.canonicalize() {
                folders.insert(folder_of(&real));
            }
        };
        for file in files.into_iter().chain(&self.named) {
            add(file);
        }
        for path in &self.plugins {
            // Folders of plugins may come later, and with them the folders around them.
            add(first_there(path));
            if path.is_dir() {
                add(&path.join("any.wasm"));
            }
        }
        folders
    }
}

/// The outermost part of a path that is missing, or the path itself.
fn first_there(path: &Path) -> &Path {
    let missing = |path: &&Path| !folder_of(path).is_dir();
    let around = path.ancestors().take_while(missing).last();
    around.and_then(Path::parent).unwrap_or(path)
}

fn folder_of(file: &Path) -> PathBuf {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// The plugin, or all plugins of a folder.
fn plugin_files(path: &Path) -> Vec<PathBuf> {
    if !path.is_dir() {
        return vec![path.to_owned()];
    }
    plugins::files_in(path).unwrap_or_default()
}
