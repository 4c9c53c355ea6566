//! Where steps are found: built into the program, or given as files and folders.

use crate::diagnostics::Diagnostic;
use crate::sandbox::{Origin, Plugin, Sandbox};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// The stock steps as components, compiled from `plugins/` by the build script.
const STOCK: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/stock.rs"));

/// All steps that a pipeline may name.
pub struct Plugins {
    sandbox: Arc<Sandbox>,
    sources: BTreeMap<String, Source>,
}

struct Source {
    bytes: Option<&'static [u8]>,
    plugin: OnceLock<Result<Arc<Plugin>, Diagnostic>>,
}

impl Plugins {
    /// The stock steps. None is compiled before it is asked for.
    pub fn stock(sandbox: Arc<Sandbox>) -> Self {
        let sources = STOCK
            .iter()
            .map(|&(name, bytes)| {
                let source = Source {
                    bytes: Some(bytes),
                    plugin: OnceLock::new(),
                };
                (name.to_owned(), source)
            })
            .collect();
        Self { sandbox, sources }
    }

    /// The stock steps, and the plugins in `paths`: files, or folders of them.
    ///
    /// # Errors
    /// Everything that is wrong with the plugins, as [`Plugins::add`] tells it.
    pub fn with(sandbox: Arc<Sandbox>, paths: &[PathBuf]) -> Result<Self, Vec<Diagnostic>> {
        let mut plugins = Self::stock(sandbox);
        let mut problems = Vec::new();
        for path in paths {
            if let Err(found) = plugins.add(path) {
                problems.extend(found);
            }
        }
        if problems.is_empty() {
            Ok(plugins)
        } else {
            Err(problems)
        }
    }

    /// Adds the plugin in a file, or every `.wasm` file of a folder, in order of name. A plugin
    /// takes the place of a stock step of the same name.
    ///
    /// # Errors
    /// One diagnostic for each file that is not a plugin, or two plugins of one name.
    pub fn add(&mut self, path: &Path) -> Result<(), Vec<Diagnostic>> {
        let unreadable = |path: &Path, error: std::io::Error| {
            Diagnostic::error(
                "unreadable",
                format!("the plugin {} cannot be read: {error}", path.display()),
            )
        };
        let mut files = vec![path.to_owned()];
        if path.is_dir() {
            let entries = std::fs::read_dir(path).map_err(|error| vec![unreadable(path, error)])?;
            files = entries
                .filter_map(|entry| Some(entry.ok()?.path()))
                .filter(|file| file.extension().is_some_and(|ending| ending == "wasm"))
                .collect();
            files.sort();
        }
        let mut problems = Vec::new();
        for file in files {
            let loaded = self.read(&file).map_err(|error| unreadable(&file, error));
            match loaded
                .and_then(|bytes| Plugin::load(&self.sandbox, &bytes, Origin::File(file.clone())))
            {
                Ok(plugin) => problems.extend(self.take(plugin)),
                Err(problem) => problems.push(problem.in_file(&file)),
            }
        }
        if problems.is_empty() {
            Ok(())
        } else {
            Err(problems)
        }
    }

    /// A plugin's bytes, and never more of them than one over the limit.
    fn read(&self, file: &PathBuf) -> std::io::Result<Vec<u8>> {
        use std::io::Read as _;
        let cap = (self.sandbox.limits().plugin_mib as u64) << 20;
        let mut bytes = Vec::new();
        std::fs::File::open(file)?
            .take(cap + 1)
            .read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn take(&mut self, plugin: Plugin) -> Option<Diagnostic> {
        if let Some(source) = self.sources.get(&plugin.name)
            && source.bytes.is_none()
            && let Some(Ok(first)) = source.plugin.get()
        {
            return Some(
                Diagnostic::error(
                    "two-plugins",
                    format!(
                        "{} and {} are both named \"{}\"",
                        first.origin, plugin.origin, plugin.name
                    ),
                )
                .help("Give one of them only."),
            );
        }
        let name = plugin.name.clone();
        let source = Source {
            bytes: None,
            plugin: OnceLock::from(Ok(Arc::new(plugin))),
        };
        self.sources.insert(name, source);
        None
    }

    /// The names of all steps, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.sources.keys().map(String::as_str)
    }

    /// The step of this name, compiled, or nothing where there is none.
    pub fn get(&self, name: &str) -> Option<Result<Arc<Plugin>, Diagnostic>> {
        let source = self.sources.get(name)?;
        let plugin = source.plugin.get_or_init(|| {
            let bytes = source.bytes.unwrap_or_default();
            Plugin::load(&self.sandbox, bytes, Origin::Stock(name.to_owned())).map(Arc::new)
        });
        Some(plugin.clone())
    }

    /// The sandbox that the steps run in.
    pub fn sandbox(&self) -> &Sandbox {
        &self.sandbox
    }
}
