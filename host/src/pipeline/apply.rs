//! One step by itself on a design, for tests and scripts.

use super::check::Ready;
use super::file::Step;
use super::run::{Outcome, Watch, run_step};
use super::selection::Selection;
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed};
use crate::json::{Document, nearest::did_you_mean};
use crate::plugins::Plugins;
use crate::sandbox::Plugin;
use serde_json::Map;
use std::path::Path;
use std::sync::Arc;

/// Runs the step `name` on `design`, on the objects with the ids `on`, or on all. Its settings are the
/// JSON `settings.1`, and `settings.0` is what they are called in messages. The step is held to the
/// same promises as in a pipeline.
///
/// # Errors
/// The step, a setting or an id is unknown, a setting does not fit, or the step failed.
pub fn apply(
    plugins: &Plugins,
    name: &str,
    settings: (&Path, &str),
    design: Design,
    on: Option<&[&str]>,
    watch: &Arc<dyn Watch>,
) -> Result<Outcome, Failed> {
    let plugin = plugins.find(name)?;
    let document = Document::parse(settings.0, settings.1.to_owned()).map_err(Failed)?;
    let mut problems = plugin.misfits(&document, "");
    let selected = match on {
        None => (0..design.objects.len()).collect(),
        Some(ids) => places(&design, ids, &mut problems),
    };
    if !problems.is_empty() {
        return Err(Failed(problems));
    }
    let ready = Ready::alone(plugin, document.value.to_string());
    run_step(&ready, design, &selected, plugins.sandbox(), watch)
}

impl Ready {
    /// A step that stands in no pipeline, with settings that fit it.
    pub(crate) fn alone(plugin: Arc<Plugin>, settings: String) -> Self {
        Self {
            label: plugin.name.clone(),
            step: Step {
                step: plugin.name.clone(),
                note: String::new(),
                on: Selection::default(),
                settings: Map::new(),
            },
            plugin,
            settings,
            within: None,
        }
    }
}

/// The places of the objects with these ids, in rising order.
fn places(design: &Design, ids: &[&str], problems: &mut Vec<Diagnostic>) -> Vec<usize> {
    let mut places = Vec::new();
    for id in ids {
        match design.objects.iter().position(|object| object.id == *id) {
            Some(place) => places.push(place),
            None => {
                let all = design.objects.iter().map(|object| object.id.as_str());
                let unknown = format!("the design has no object \"{id}\"");
                problems
                    .push(Diagnostic::error("unknown-object", unknown).help(did_you_mean(id, all)));
            }
        }
    }
    places.sort_unstable();
    places.dedup();
    places
}
