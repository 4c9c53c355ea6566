//! The steps that a pipeline may name, and where each comes from.
//!
//! [`Sources`] say where to look; [`Sources::for_pipeline`] looks there, layer by layer in the order
//! of [`Layer`], and gives the [`Plugins`]. A [`Place`] is what people write, an [`Origin`] what was
//! found there. Nothing here touches the network.

mod layer;
mod place;
mod reading;
mod settings;
mod sources;

pub use layer::Layer;
pub use place::{Origin, Place};
pub use settings::{Setting, settings};
pub use sources::{PROJECT_FOLDER, Pins, Sources};

pub(crate) use reading::files_in;

use crate::diagnostics::{Diagnostic, Failed};
use crate::json::nearest::did_you_mean;
use crate::sandbox::bindings::messages::Description;
use crate::sandbox::{Plugin, Sandbox};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// A step that is built in.
struct Stock {
    name: &'static str,
    /// The component.
    bytes: &'static [u8],
    /// Name, version, summary, manual and settings' schema, as the step itself says.
    says: [&'static str; 5],
}

/// The stock steps, compiled from `plugins/` and asked what they are by the build script.
const STOCK: &[Stock] = include!(concat!(env!("OUT_DIR"), "/stock.rs"));

/// All steps that a pipeline may name.
#[derive(Clone)]
pub struct Plugins {
    sandbox: Arc<Sandbox>,
    /// What was found under each name, one a layer at most, in the order of the layers.
    steps: BTreeMap<String, Vec<Found>>,
}

/// A step that was found.
#[derive(Clone)]
struct Found {
    layer: Layer,
    origin: Origin,
    step: Step,
}

#[derive(Clone)]
enum Step {
    /// A stock step, not looked at before it is asked for.
    Stock(
        &'static Stock,
        Arc<OnceLock<Result<Arc<Plugin>, Diagnostic>>>,
    ),
    Ready(Arc<Plugin>),
}

impl Stock {
    fn description(&self) -> Description {
        let [name, version, summary, manual, settings_schema] = self.says.map(str::to_owned);
        Description {
            name,
            version,
            summary,
            manual,
            settings_schema,
        }
    }
}

impl Plugins {
    /// The stock steps. None is compiled before it is called.
    pub fn stock(sandbox: Arc<Sandbox>) -> Self {
        let found = |stock: &'static Stock| {
            let found = Found {
                layer: Layer::BuiltIn,
                origin: Origin::Stock(stock.name.to_owned()),
                step: Step::Stock(stock, Arc::default()),
            };
            (stock.name.to_owned(), vec![found])
        };
        Self {
            steps: STOCK.iter().map(found).collect(),
            sandbox,
        }
    }

    /// The names of the stock steps, in order.
    pub fn stock_names() -> impl Iterator<Item = &'static str> {
        STOCK.iter().map(|stock| stock.name)
    }

    /// Adds a plugin. Layers are to be added in their order.
    ///
    /// # Errors
    /// The layer has another plugin of that name.
    fn add(&mut self, layer: Layer, plugin: Arc<Plugin>) -> Result<(), Diagnostic> {
        let steps = self.steps.entry(plugin.name.clone()).or_default();
        if let Some(first) = steps.last().filter(|found| found.layer == layer) {
            return Err(Diagnostic::error(
                "two-plugins",
                format!(
                    "{} and {} are both named \"{}\"",
                    first.origin, plugin.origin, plugin.name
                ),
            )
            .help("Give one of them only."));
        }
        steps.push(Found {
            layer,
            origin: plugin.origin.clone(),
            step: Step::Ready(plugin),
        });
        Ok(())
    }

    /// The names of all steps, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.steps.keys().map(String::as_str)
    }

    /// The step of this name, or nothing where there is none.
    pub fn get(&self, name: &str) -> Option<Result<Arc<Plugin>, Diagnostic>> {
        let found = self.steps.get(name)?.last()?;
        Some(match &found.step {
            Step::Ready(plugin) => Ok(Arc::clone(plugin)),
            Step::Stock(stock, plugin) => plugin
                .get_or_init(|| {
                    let origin = found.origin.clone();
                    Plugin::stock(stock.bytes, stock.description(), origin).map(Arc::new)
                })
                .clone(),
        })
    }

    /// The step of this name.
    ///
    /// # Errors
    /// There is none, or it cannot be used.
    pub fn find(&self, name: &str) -> Result<Arc<Plugin>, Diagnostic> {
        self.get(name).unwrap_or_else(|| Err(self.unknown(name)))
    }

    /// That there is no step of this name, with the nearest that there is.
    pub fn unknown(&self, name: &str) -> Diagnostic {
        Diagnostic::error("unknown-step", format!("there is no step \"{name}\""))
            .help(did_you_mean(name, self.names()))
    }

    /// The steps of these names.
    ///
    /// # Errors
    /// All names that are not known, and all plugins that cannot be used.
    pub fn all<'a>(
        &self,
        names: impl IntoIterator<Item = &'a str>,
    ) -> Result<Vec<Arc<Plugin>>, Failed> {
        let mut all = Vec::new();
        let mut problems = Vec::new();
        for name in names {
            match self.find(name) {
                Ok(plugin) => all.push(plugin),
                Err(problem) => problems.push(problem),
            }
        }
        if problems.is_empty() {
            Ok(all)
        } else {
            Err(Failed(problems))
        }
    }

    /// The layer that the step of this name is taken from.
    pub fn layer(&self, name: &str) -> Option<Layer> {
        Some(self.steps.get(name)?.last()?.layer)
    }

    /// The plugins of this name that another stands in for, from the first layer on.
    pub fn shadowed(&self, name: &str) -> impl Iterator<Item = (Layer, &Origin)> {
        let found = self.steps.get(name).map_or(&[][..], Vec::as_slice);
        let others = found.split_last().map_or(&[][..], |(_, others)| others);
        others.iter().map(|found| (found.layer, &found.origin))
    }

    /// The sandbox that the steps run in.
    pub fn sandbox(&self) -> &Sandbox {
        &self.sandbox
    }
}
