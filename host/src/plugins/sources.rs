//! Where to look for steps.

use super::layer::Layer;
use super::place::{Origin, Place};
use super::{Plugins, reading};
use crate::diagnostics::Diagnostic;
use crate::json::Document;
use crate::registry::pull::Pin;
use crate::sandbox::{Plugin, Sandbox};
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The folder beside a pipeline whose plugins it may name.
pub const PROJECT_FOLDER: &str = "steps";

/// Where to look for steps, for any pipeline. What has been compiled once stays compiled.
pub struct Sources {
    stock: Plugins,
    sandbox: Arc<Sandbox>,
    user: Option<PathBuf>,
    given: Vec<Place>,
    loaded: Mutex<BTreeMap<Loaded, Arc<Plugin>>>,
}

/// What is wanted of references to a registry, whatever their tags mean.
pub type Pins = BTreeMap<String, Pin>;

/// A plugin's bytes, and where they came from.
type Loaded = ([u8; 32], Origin);

impl Sources {
    /// Looks into the folder `user`, which may be missing, and at the places `given` for this run
    /// alone, besides what is built in and what a pipeline brings.
    pub fn new(sandbox: Arc<Sandbox>, user: Option<PathBuf>, given: Vec<Place>) -> Self {
        Self {
            stock: Plugins::stock(Arc::clone(&sandbox)),
            sandbox,
            user,
            given,
            loaded: Mutex::default(),
        }
    }

    /// All steps that a pipeline may name, and what is wrong with those that cannot be used. The steps that
    /// `pins` names are those very bytes, where they are on this computer.
    pub fn for_pipeline(&self, pipeline: &Document, pins: &Pins) -> (Plugins, Vec<Diagnostic>) {
        let folder = pipeline.file.parent().unwrap_or(Path::new(""));
        self.gather(folder, Some(pipeline), pins)
    }

    /// All steps that a pipeline in `folder` may name without a list of its own, and what is wrong
    /// with those that cannot be used.
    pub fn in_folder(&self, folder: &Path) -> (Plugins, Vec<Diagnostic>) {
        self.gather(folder, None, &Pins::new())
    }

    fn gather(
        &self,
        folder: &Path,
        pipeline: Option<&Document>,
        pins: &Pins,
    ) -> (Plugins, Vec<Diagnostic>) {
        let mut plugins = self.stock.clone();
        let mut problems = Vec::new();
        let mut look = |layer, place: &Place| {
            let pinned = match place {
                Place::Registry(reference) => pins.get(reference).map(|pin| pin.plugin),
                Place::Path(_) => None,
            };
            let (read, unread) = reading::read(place, self.sandbox.limits().plugin_mib, pinned);
            let mut found = unread;
            for one in read {
                let added = self.load(one).and_then(|plugin| plugins.add(layer, plugin));
                found.extend(added.err());
            }
            found
        };
        for (layer, folder) in self.folders(folder) {
            problems.extend(look(layer, &Place::Path(folder)));
        }
        if let Some(document) = pipeline {
            for (i, place) in named(&document.value, folder) {
                let range = document.value_range(&format!("/plugins/{i}"));
                let found = look(Layer::Pipeline, &place);
                problems.extend(
                    found
                        .into_iter()
                        .map(|problem| document.point(problem, range.clone())),
                );
            }
        }
        for place in &self.given {
            problems.extend(look(Layer::Given, place));
        }
        (plugins, problems)
    }

    /// The folders that are there, with the layers that they make.
    fn folders(&self, folder: &Path) -> impl Iterator<Item = (Layer, PathBuf)> {
        let user = self.user.clone().map(|user| (Layer::User, user));
        let project = (Layer::Project, folder.join(PROJECT_FOLDER));
        let folders = user.into_iter().chain([project]);
        folders.filter(|(_, folder)| folder.is_dir())
    }

    /// Every file and folder that decides which steps the pipeline in `folder`, which means `value`,
    /// may name; also those that are not there yet.
    pub fn paths(&self, folder: &Path, value: &Value) -> Vec<PathBuf> {
        let named = named(value, folder).map(|(_, place)| place);
        let places = named.chain(self.given.iter().cloned());
        let paths = places.filter_map(|place| match place {
            Place::Path(path) => Some(path),
            Place::Registry(_) => None,
        });
        let mut all: Vec<PathBuf> = self.user.iter().cloned().collect();
        all.push(folder.join(PROJECT_FOLDER));
        all.extend(paths);
        all
    }

    /// The sandbox that the steps run in.
    pub fn sandbox(&self) -> &Arc<Sandbox> {
        &self.sandbox
    }

    fn load(&self, read: reading::Read) -> Result<Arc<Plugin>, Diagnostic> {
        let key: Loaded = (Sha256::digest(&read.bytes).into(), read.origin.clone());
        // A thread that panicked left the map as it was before or after.
        let lock = || self.loaded.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(plugin) = lock().get(&key) {
            return Ok(Arc::clone(plugin));
        }
        let plugin = Arc::new(Plugin::load(&self.sandbox, &read.bytes, read.origin)?);
        lock().insert(key, Arc::clone(&plugin));
        Ok(plugin)
    }
}

/// The places that a pipeline names, with their numbers from 0.
fn named(pipeline: &Value, folder: &Path) -> impl Iterator<Item = (usize, Place)> {
    let list = pipeline.get("plugins").and_then(Value::as_array);
    list.into_iter()
        .flatten()
        .enumerate()
        .filter_map(move |(i, name)| {
            // What is not text the pipeline's own schema tells.
            let Ok(place) = name.as_str()?.parse::<Place>();
            Some((i, place.seen_from(folder)))
        })
}
