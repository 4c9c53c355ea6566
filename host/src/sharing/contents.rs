//! A pack in memory: files that are known to be whole and safe to write.

use super::limits::{FILE_MIB, FILES, MANIFEST_KIB};
use super::manifest::{CARRIED, MANIFEST, SEAL, seal};
use super::{Fingerprint, Manifest, PackPath, archive, path};
use std::collections::BTreeMap;

/// A pipeline with all that it needs, as one file. What is here has been checked: every path can be
/// written on every system, no two fall together, and every byte is the one that the manifest has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pack {
    manifest: Manifest,
    files: BTreeMap<PackPath, Vec<u8>>,
}

impl Pack {
    /// A pack of these files.
    ///
    /// # Errors
    /// Everything that keeps them from being a pack, each a sentence.
    pub fn new(
        title: &str,
        pipeline: &PackPath,
        files: BTreeMap<PackPath, Vec<u8>>,
    ) -> Result<Self, Vec<String>> {
        let carried = files.iter().map(|(path, bytes)| (path, bytes.as_slice()));
        let manifest = Manifest::of(title, pipeline, carried);
        let problems = problems(pipeline, &files);
        if problems.is_empty() {
            Ok(Self { manifest, files })
        } else {
            Err(problems)
        }
    }

    /// What the pack says of itself.
    pub fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    /// The files it carries.
    pub fn files(&self) -> &BTreeMap<PackPath, Vec<u8>> {
        &self.files
    }

    /// The pack's bytes: the manifest, its seal, then the files in order of their paths. The same
    /// files always give the same bytes.
    ///
    /// # Errors
    /// A path that the archive cannot hold, as a sentence.
    pub fn to_bytes(&self) -> Result<Vec<u8>, String> {
        let manifest = self.manifest.to_bytes();
        let seal = seal(&manifest);
        let paths: Vec<String> = self
            .files
            .keys()
            .map(|path| format!("{CARRIED}{path}"))
            .collect();
        let carried = paths
            .iter()
            .map(String::as_str)
            .zip(self.files.values().map(Vec::as_slice));
        let own = [(MANIFEST, manifest.as_slice()), (SEAL, seal.as_slice())];
        archive::write(own.into_iter().chain(carried))
    }

    /// Reads a pack, and refuses it unless every single byte is the one that must stand there: what
    /// was read, packed again, must be the same bytes.
    ///
    /// # Errors
    /// What is wrong with it, as the end of a sentence that begins with the pack's name.
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        let mut entries = archive::read(bytes)?.into_iter();
        let mut own = |name: &str| match entries.next() {
            Some((path, bytes)) if path == name => Ok(bytes),
            _ => Err(format!("is no pack: it does not hold {name} where it must")),
        };
        let (written, sealed) = (own(MANIFEST)?, own(SEAL)?);
        if written.len() as u64 > MANIFEST_KIB << 10 {
            return Err(format!("has a manifest larger than {MANIFEST_KIB} KiB"));
        }
        if seal(written) != sealed {
            return Err("is damaged or changed: its manifest does not fit its seal".to_owned());
        }
        let manifest = Manifest::read(written)?;
        let mut files = BTreeMap::new();
        for (path, bytes) in entries {
            let shown = path.escape_debug();
            let place = path
                .strip_prefix(CARRIED)
                .ok_or_else(|| format!("holds \"{shown}\", which is not of a pack"))
                .and_then(|path| {
                    PackPath::parse(path)
                        .map_err(|why| format!("holds the path \"{shown}\", which {why}"))
                })?;
            if files.insert(place, bytes).is_some() {
                return Err(format!("holds \"{shown}\" twice"));
            }
        }
        check_carried(&manifest, &files)?;
        let files = files
            .into_iter()
            .map(|(path, bytes)| (path, bytes.to_vec()))
            .collect();
        if let Some(problem) = problems(&manifest.pipeline, &files).into_iter().next() {
            return Err(format!("is not sound: {problem}"));
        }
        let pack = Self { manifest, files };
        if pack.to_bytes()? != bytes {
            return Err(
                "is damaged or changed: packed again, it would not be the same bytes".to_owned(),
            );
        }
        Ok(pack)
    }
}

/// Whether the files are those of the manifest.
fn check_carried(manifest: &Manifest, files: &BTreeMap<PackPath, &[u8]>) -> Result<(), String> {
    for carried in &manifest.files {
        let path = &carried.path;
        let Some(bytes) = files.get(path) else {
            return Err(format!("lacks {path}, which its manifest names"));
        };
        if bytes.len() as u64 != carried.bytes || Fingerprint::of(bytes) != carried.sha256 {
            return Err(format!(
                "is damaged or changed: {path} is not the file of the manifest"
            ));
        }
    }
    let named = |path: &&PackPath| manifest.files.iter().any(|carried| carried.path == **path);
    match files.keys().find(|path| !named(path)) {
        Some(path) => Err(format!("holds {path}, which its manifest does not name")),
        None => Ok(()),
    }
}

/// What keeps files from being a pack, whatever their bytes.
fn problems(pipeline: &PackPath, files: &BTreeMap<PackPath, Vec<u8>>) -> Vec<String> {
    let mut problems = Vec::new();
    if !files.contains_key(pipeline) {
        problems.push(format!("the pipeline {pipeline} is not among its files"));
    }
    if !pipeline.as_str().ends_with(".json") {
        problems.push(format!(
            "the pipeline {pipeline} is not named like one, with .json"
        ));
    }
    if files.len() > FILES {
        problems.push(format!(
            "there are {} files, and a pack holds {FILES}",
            files.len()
        ));
    }
    for (path, bytes) in files {
        if bytes.len() as u64 > FILE_MIB << 20 {
            problems.push(format!("{path} is larger than {FILE_MIB} MiB"));
        }
    }
    // Files and folders by how a file system that folds letters would know them.
    let mut known: BTreeMap<String, (&str, bool)> = BTreeMap::new();
    for path in files.keys() {
        let folders = path.folders().map(|folder| (folder, true));
        for (spelt, folder) in folders.chain([(path.as_str(), false)]) {
            let first = *known.entry(path::folded(spelt)).or_insert((spelt, folder));
            if first != (spelt, folder) {
                problems.push(format!(
                    "{} and {spelt} are one and the same on some systems",
                    first.0
                ));
            }
        }
    }
    problems
}
