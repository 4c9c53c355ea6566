//! Everything that is wrong with a pipeline, before anything runs.

use super::file::{Pipeline, Step};
use super::layout::{self, Group, Layout};
use super::{agreement, schema, selection};
use crate::diagnostics::{Diagnostic, Failed};
use crate::formats::dst::machine::{self, Machine};
use crate::json::{Document, FileKind, MARK, misfits};
use crate::plugins::Plugins;
use crate::rack::{self, Rack};
use crate::reading;
use crate::sandbox::Plugin;
use crate::worksheet;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The largest rack read, in MiB; a shop's own is a few hundred lines.
const LARGEST_RACK_MIB: u64 = 4;

/// The largest machine's profile read, in MiB.
const LARGEST_MACHINE_MIB: u64 = 4;

/// A pipeline that may run.
pub struct Checked {
    /// The file as written, with the machine's profile in the place of its path, and the fabric's name
    /// where the operator is told no other words for it.
    pub pipeline: Pipeline,
    /// Its steps and those of its parts, each with its plugin and whole settings.
    pub steps: Vec<Ready>,
    /// The parts that steps stand in.
    pub groups: Vec<Group>,
    /// The files of the parts, each once.
    pub parts: Vec<PathBuf>,
    /// The thread rack it names.
    pub rack: Option<Rack>,
    /// What to look at though it may run.
    pub noticed: Vec<Diagnostic>,
}

/// A step that may run.
pub struct Ready {
    /// Its number from 1 and name, for messages, after those of the parts that it stands in.
    pub label: String,
    /// As written, with what its part took.
    pub step: Step,
    /// What it runs.
    pub plugin: Arc<Plugin>,
    /// Its settings as JSON text, with defaults left out.
    pub settings: String,
    /// The place of the part that it stands in, in [`Checked::groups`].
    pub within: Option<usize>,
}

/// Reads a pipeline and finds every problem in it: broken JSON, unknown steps and settings, wrong
/// types, values out of range, a missing rack, and all that of its parts. Nothing runs but the plugins' own descriptions.
///
/// # Errors
/// All problems, each with its place in its file.
pub fn check(file: &Path, text: String, plugins: &Plugins) -> Result<Checked, Failed> {
    let document = Document::parse(file, text).map_err(Failed)?;
    if document.value.get("takes").is_some() {
        return Err(part_not_pipeline(&document).into());
    }
    if let Some(mistaken) = FileKind::Pipeline.mistaken(&document) {
        return Err(mistaken.into());
    }
    let (rack, rack_problems) = match read_rack(&document) {
        Ok(rack) => (rack, Vec::new()),
        Err(found) => (None, found),
    };
    let known = file_problems(&document);
    let Layout {
        steps,
        groups,
        parts,
        mut problems,
        ..
    } = layout::of_pipeline(&document, known, plugins, rack.as_ref());
    problems.extend(rack_problems);
    let mut value = document.value.clone();
    match read_machine(&document) {
        Ok(Some(machine)) => value["machine"] = machine,
        Ok(None) => {}
        Err(found) => problems.extend(found),
    }
    let machine: Option<Machine> = serde_json::from_value(value["machine"].clone()).ok();
    problems.extend(worksheet::needle_problems(
        &document,
        rack.as_ref(),
        machine.as_ref(),
    ));
    let problems = in_order(problems, file);
    let pipeline: Option<Pipeline> = serde_json::from_value(value).ok();
    match pipeline {
        Some(mut pipeline) if problems.is_empty() => {
            if let Some(fabric) = pipeline.fabric {
                pipeline.operator.on(fabric);
            }
            let hoop = pipeline.operator.hoop;
            let hoop =
                hoop.and_then(|hoop| worksheet::unknown_hoop(&document, hoop, &pipeline.machine));
            let mut noticed: Vec<Diagnostic> = hoop.into_iter().collect();
            noticed.extend(agreement::disagreements(&steps));
            Ok(Checked {
                pipeline,
                steps,
                groups,
                parts,
                rack,
                noticed,
            })
        }
        _ if problems.is_empty() => Err(document
            .point(
                Diagnostic::error("misfit", "this is not a pipeline"),
                document.value_range(""),
            )
            .into()),
        _ => Err(Failed(problems)),
    }
}

/// Whether a file is a part rather than a pipeline: it says what it takes, though it be nothing.
pub fn is_part(text: &str) -> bool {
    let value: Result<Value, _> = serde_json::from_str(text.strip_prefix(MARK).unwrap_or(text));
    value.is_ok_and(|value| value.get("takes").is_some())
}

/// Finds every problem of a part by itself, with the defaults of what it takes, and gives the number
/// of its steps. Values that only the including file gives are checked with that file.
///
/// # Errors
/// All problems, each with its place in its file.
pub fn check_part(file: &Path, text: String, plugins: &Plugins) -> Result<usize, Failed> {
    let document = Document::parse(file, text).map_err(Failed)?;
    let laid = layout::of_part(&document, plugins);
    match in_order(laid.problems, file) {
        problems if problems.is_empty() => Ok(laid.met),
        problems => Err(Failed(problems)),
    }
}

/// Problems as they stand, first those of `file`; each once, though a part be included often.
fn in_order(mut problems: Vec<Diagnostic>, file: &Path) -> Vec<Diagnostic> {
    problems.sort_by_key(|problem| {
        let elsewhere = problem.file.as_deref().filter(|other| *other != file);
        let start = problem.range.as_ref().map_or(0, |range| range.start);
        (elsewhere.map(Path::to_owned), start)
    });
    let mut told = BTreeSet::new();
    problems.retain(|problem| {
        let place = problem.range.as_ref().map(|range| (range.start, range.end));
        let step = place.is_none().then(|| problem.step.clone());
        told.insert((problem.file.clone(), place, step, problem.message.clone()))
    });
    problems
}

fn part_not_pipeline(document: &Document) -> Diagnostic {
    let name = document.file.file_name().unwrap_or_default();
    let wrong =
        Diagnostic::error("not-a-pipeline", "this is a part, not a whole pipeline").help(format!(
            "Name it in the steps of a pipeline: {{ \"part\": \"{}\" }}.",
            name.to_string_lossy()
        ));
    document.point(wrong, document.key_range("/takes"))
}

/// Problems with the file itself, the settings of its steps left aside.
fn file_problems(document: &Document) -> Vec<Diagnostic> {
    let schema = schema::bare();
    match jsonschema::draft202012::new(&schema) {
        Ok(validator) => misfits(document, "", &schema, &validator, "entry"),
        Err(error) => vec![Diagnostic::error(
            "internal",
            format!("the pipeline's own schema is broken: {error}"),
        )],
    }
}

/// Finds every problem of the step at place `i` in the document, whose label begins with `outer`.
pub(super) fn check_step(
    document: &Document,
    i: usize,
    outer: &str,
    value: &Value,
    plugins: &Plugins,
    rack: Option<&Rack>,
) -> Result<Ready, Vec<Diagnostic>> {
    let name = value
        .get("step")
        .and_then(Value::as_str)
        .unwrap_or_default();
    let label = format!("{outer}{} ({name})", i + 1);
    let pointer = format!("/steps/{i}");
    if name.is_empty() {
        // The file's own schema has reported it.
        return Err(Vec::new());
    }
    let plugin = match plugins.get(name) {
        Some(Ok(plugin)) => plugin,
        Some(Err(problem)) => return Err(vec![problem.in_step(label)]),
        None => {
            let unknown = plugins.unknown(name).in_step(label);
            let range = document.value_range(&format!("{pointer}/step"));
            return Err(vec![document.point(unknown, range)]);
        }
    };
    let settings_at = format!("{pointer}/settings");
    let mut found = plugin.misfits(document, &settings_at);
    found.extend(selection::problems(
        document,
        &format!("{pointer}/on"),
        rack,
    ));
    let step: Option<Step> = serde_json::from_value(value.clone()).ok();
    match step {
        Some(step) if found.is_empty() => Ok(Ready {
            settings: settings_text(&step.settings),
            label,
            step,
            plugin,
            within: None,
        }),
        _ => Err(found
            .into_iter()
            .map(|problem| problem.in_step(&label))
            .collect()),
    }
}

/// The settings as one text, the same for the same settings however the file was laid out.
fn settings_text(settings: &Map<String, Value>) -> String {
    Value::Object(settings.clone()).to_string()
}

/// The machine's profile where the pipeline names a file of it; a profile in the pipeline itself is
/// held against itself.
fn read_machine(document: &Document) -> Result<Option<Value>, Vec<Diagnostic>> {
    let entry = document.value.get("machine");
    let Some(name) = entry.and_then(Value::as_str) else {
        let machine = entry.and_then(|entry| serde_json::from_value::<Machine>(entry.clone()).ok());
        return match machine.map(|machine| machine.contradictions(document, "/machine")) {
            // What lies out of its range the schema has told.
            Some(Err(Failed(found))) if file_problems(document).is_empty() => Err(found),
            _ => Ok(None),
        };
    };
    let folder = document.file.parent().unwrap_or(Path::new(""));
    let path = folder.join(name);
    let from = "The machine's path is taken from the pipeline's own folder.";
    let text = reading::read_named_text(&path, LARGEST_MACHINE_MIB, from)
        .map_err(|unread| vec![document.point(unread, document.value_range("/machine"))])?;
    let machine = machine::read(&path, text).map_err(|Failed(found)| found)?;
    Ok(serde_json::to_value(machine).ok())
}

fn read_rack(document: &Document) -> Result<Option<Rack>, Vec<Diagnostic>> {
    let Some(name) = document.value.get("rack").and_then(Value::as_str) else {
        return Ok(None);
    };
    let folder = document.file.parent().unwrap_or(Path::new(""));
    let path = folder.join(name);
    let from = "The rack's path is taken from the pipeline's own folder.";
    let text = reading::read_named_text(&path, LARGEST_RACK_MIB, from)
        .map_err(|unread| vec![document.point(unread, document.value_range("/rack"))])?;
    rack::read(&path, text)
        .map(Some)
        .map_err(|Failed(found)| found)
}
