//! The tree of a pipeline and its parts, laid out as one list of steps and the parts they stand in.

use super::check::{Checked, Ready, check_step};
use super::fill::{Filled, Given, Written};
use super::part::Takes;
use super::part_files::{self, DEEPEST, the_file};
use super::schema;
use super::selection::{self, Selection};
use crate::diagnostics::{Diagnostic, MOST_TOLD};
use crate::json::{Document, FileKind, escape, misfits, misfits_of, nearest::did_you_mean};
use crate::plugins::Plugins;
use crate::rack::Rack;
use jsonschema::Validator;
use serde_json::{Value, json};
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How many steps and parts a pipeline may have, those within parts included.
const MOST_ENTRIES: usize = 10_000;

/// A part at its place in a pipeline: its steps stand one after the other in the list of all steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its numbers from 1 and name, for messages.
    pub label: String,
    /// Which objects its steps may act on.
    pub on: Selection,
    /// The place of the part that it stands in, in [`Checked::groups`](super::Checked::groups).
    pub within: Option<usize>,
}

impl Checked {
    /// The parts that a step stands in, from the innermost to the outermost.
    pub fn parts_around(&self, ready: &Ready) -> impl Iterator<Item = &Group> {
        let group = |place: usize| self.groups.get(place);
        std::iter::successors(ready.within.and_then(group), move |inner| {
            inner.within.and_then(group)
        })
    }
}

/// A pipeline's steps in the order in which they run.
#[derive(Default)]
pub(super) struct Layout {
    pub steps: Vec<Ready>,
    pub groups: Vec<Group>,
    /// The parts' files, each once.
    pub parts: Vec<PathBuf>,
    /// How many steps were met, those that cannot run included.
    pub met: usize,
    pub problems: Vec<Diagnostic>,
}

/// Lays out the pipeline in `document`, and finds every problem of its steps and its parts besides those
/// `known` of the file itself. `rack` is what it names, where that can be read.
pub(super) fn of_pipeline(
    document: &Document,
    known: Vec<Diagnostic>,
    plugins: &Plugins,
    rack: Option<&Rack>,
) -> Layout {
    let raw = Arc::new(document.clone());
    let filled = Filled::new(&raw, &BTreeMap::new());
    let mut walk = Walk::new(plugins, rack);
    for (name, range) in filled.uses().take(MOST_TOLD) {
        let outside = Diagnostic::error(
            "unknown-name",
            format!("nothing gives \"{name}\" to this file"),
        )
        .help("Only the steps of a part can use what was taken; write the value here.");
        walk.layout.problems.push(raw.point(outside, range));
    }
    let place = Place::first(&filled);
    walk.problems(&place, known);
    walk.entries(&place);
    walk.layout
}

/// Lays out the part in `document` by itself, with the defaults of what it takes.
pub(super) fn of_part(document: &Document, plugins: &Plugins) -> Layout {
    let raw = Arc::new(document.clone());
    let mut walk = Walk::new(plugins, None);
    let filled = walk.fill_part(&raw, Takes::of(&raw), BTreeMap::new());
    walk.entries(&Place::first(&filled));
    walk.layout
}

/// Where the walk is.
struct Place<'a> {
    filled: &'a Filled,
    /// The part that the file is, where it is one of a pipeline.
    within: Option<usize>,
    /// How labels of its entries begin.
    label: String,
    /// The files around it and its own, from the first.
    way: Vec<PathBuf>,
}

impl<'a> Place<'a> {
    fn first(filled: &'a Filled) -> Self {
        Self {
            filled,
            within: None,
            label: String::new(),
            way: vec![filled.raw.file.clone()],
        }
    }
}

struct Walk<'a> {
    plugins: &'a Plugins,
    rack: Option<&'a Rack>,
    rules: Rules,
    files: BTreeMap<PathBuf, Result<Arc<Document>, Vec<Diagnostic>>>,
    entries: usize,
    layout: Layout,
}

impl<'a> Walk<'a> {
    fn new(plugins: &'a Plugins, rack: Option<&'a Rack>) -> Self {
        Self {
            plugins,
            rack,
            rules: Rules::default(),
            files: BTreeMap::new(),
            entries: 0,
            layout: Layout::default(),
        }
    }

    fn entries(&mut self, place: &Place<'_>) {
        let document = &place.filled.document;
        let entries = document.value.get("steps").and_then(Value::as_array);
        if entries.is_some_and(Vec::is_empty) {
            let what = if place.within.is_some() {
                "part"
            } else {
                "pipeline"
            };
            self.layout.problems.push(document.point(
                Diagnostic::error("no-steps", format!("the {what} has no steps")),
                document.value_range("/steps"),
            ));
        }
        for (i, entry) in entries.into_iter().flatten().enumerate() {
            if self.layout.problems.len() >= MOST_TOLD {
                return;
            }
            self.entries += 1;
            if self.entries > MOST_ENTRIES {
                self.too_many();
                return;
            }
            if entry.get("part").is_some() {
                self.part(place, i, entry);
                continue;
            }
            self.layout.met += 1;
            match check_step(document, i, &place.label, entry, self.plugins, self.rack) {
                Ok(ready) => self.layout.steps.push(Ready {
                    within: place.within,
                    ..ready
                }),
                Err(found) => self.problems(place, found),
            }
        }
    }

    fn part(&mut self, place: &Place<'_>, i: usize, entry: &Value) {
        let document = &place.filled.document;
        let Some(name) = entry.get("part").and_then(Value::as_str) else {
            // The file's own schema has reported it.
            return;
        };
        let pointer = format!("/steps/{i}");
        let stem = Path::new(name).file_stem().unwrap_or_default();
        let label = format!("{}{} ({})", place.label, i + 1, stem.to_string_lossy());
        let path = part_files::path(&document.file, name);
        let at_name = |problem: Diagnostic| {
            let range = document.value_range(&format!("{pointer}/part"));
            vec![document.point(problem.in_step(&label), range)]
        };
        let raw = match self.read(&path, &place.way) {
            Ok(raw) => raw,
            Err(Unread::Told(found)) => return self.problems(place, found),
            Err(Unread::Here(problem)) => return self.problems(place, at_name(problem)),
        };
        let takes = Takes::of(&raw);
        let mut found = selection::problems(document, &format!("{pointer}/on"), self.rack);
        found.extend(settings_problems(document, &pointer, &takes));
        let found = found.into_iter().map(|problem| problem.in_step(&label));
        self.problems(place, found.collect());
        let on = entry.get("on").cloned().unwrap_or_else(|| json!({}));
        self.layout.groups.push(Group {
            label: label.clone(),
            // Whatever is wrong with it has been told.
            on: serde_json::from_value(on).unwrap_or_default(),
            within: place.within,
        });
        let within = self.layout.groups.len() - 1;
        let given = given(place.filled, &pointer, entry, &takes);
        let filled = self.fill_part(&raw, takes, given);
        let mut way = place.way.clone();
        way.push(path);
        self.entries(&Place {
            filled: &filled,
            within: Some(within),
            label: format!("{label} "),
            way,
        });
    }

    /// The part in a file, with what it is given and defaults for all else; and what is wrong with the
    /// file itself.
    fn fill_part(
        &mut self,
        raw: &Arc<Document>,
        takes: Takes,
        mut given: BTreeMap<String, Given>,
    ) -> Filled {
        for name in takes.names() {
            let default = format!("/takes/{}/default", escape(name));
            if let Some(value) = raw.value.pointer(&default)
                && !given.contains_key(name)
                && takes.allows(name, value)
            {
                let written = Written {
                    document: Arc::clone(raw),
                    range: raw.value_range(&default),
                };
                let value = value.clone();
                given.insert(name.to_owned(), Given { value, written });
            }
        }
        let filled = Filled::new(raw, &given);
        let mut found = self.rules.problems(&filled.document);
        found.extend(takes.unused(raw, &filled.used()));
        let known: BTreeSet<&str> = takes.names().collect();
        for (name, range) in filled.uses().filter(|(name, _)| !known.contains(name)) {
            let unknown =
                Diagnostic::error("unknown-name", format!("this part takes no \"{name}\""))
                    .help(did_you_mean(name, known.iter().copied()));
            found.push(raw.point(unknown, range));
        }
        let found = found
            .into_iter()
            .filter_map(|problem| filled.trace(problem));
        self.layout
            .problems
            .extend(takes.problems.into_iter().chain(found));
        filled
    }

    fn read(&mut self, path: &Path, way: &[PathBuf]) -> Result<Arc<Document>, Unread> {
        let key = the_file(path);
        if let Some(begin) = way.iter().position(|file| the_file(file) == key) {
            let round: Vec<String> = way[begin..].iter().map(|file| short(file)).collect();
            let words = format!(
                "the part goes round in a circle: {} includes itself",
                round[0]
            );
            let words = match &round[1..] {
                [] => words,
                between => format!("{words} by way of {}", between.join(", ")),
            };
            let help = "Take one of them out; a part cannot stand within itself.";
            return Err(Unread::Here(
                Diagnostic::error("part-circle", words).help(help),
            ));
        }
        if way.len() > DEEPEST {
            let words = format!("more than {DEEPEST} parts stand within each other here");
            return Err(Unread::Here(
                Diagnostic::error("too-deep", words).help("Write some of the steps out."),
            ));
        }
        if let Some(known) = self.files.get(&key) {
            return known.clone().map_err(Unread::Told);
        }
        let text = part_files::read(path).map_err(Unread::Here)?;
        let parsed = Document::parse(path, text).and_then(|document| {
            let mistaken = FileKind::Part.mistaken(&document);
            mistaken.map_or_else(|| Ok(Arc::new(document)), |told| Err(vec![told]))
        });
        self.layout.parts.push(path.to_owned());
        self.files.insert(key, parsed.clone());
        parsed.map_err(Unread::Told)
    }

    fn problems(&mut self, place: &Place<'_>, found: Vec<Diagnostic>) {
        let traced = found
            .into_iter()
            .filter_map(|problem| place.filled.trace(problem));
        self.layout.problems.extend(traced);
    }

    /// Told once.
    fn too_many(&mut self) {
        if self.entries == MOST_ENTRIES + 1 {
            self.layout.problems.push(
                Diagnostic::error(
                    "too-many-steps",
                    format!(
                        "the pipeline has more than {MOST_ENTRIES} steps, those in parts included"
                    ),
                )
                .help("Parts within parts multiply; include fewer of them."),
            );
        }
    }
}

/// The rules of parts' files, compiled when the first is met.
#[derive(Default)]
struct Rules(OnceCell<(Value, Result<Validator, String>)>);

impl Rules {
    /// What is wrong with a part's file, the settings of its steps left aside.
    fn problems(&self, document: &Document) -> Vec<Diagnostic> {
        let (schema, validator) = self.0.get_or_init(|| {
            let schema = schema::bare_part();
            let validator = jsonschema::draft202012::new(&schema);
            (schema, validator.map_err(|error| error.to_string()))
        });
        match validator {
            Ok(validator) => misfits(document, "", schema, validator, "entry"),
            Err(error) => vec![Diagnostic::error(
                "internal",
                format!("the schema of parts is broken: {error}"),
            )],
        }
    }
}

/// Why a part's file is not there to be used.
enum Unread {
    /// Told with places of their own.
    Told(Vec<Diagnostic>),
    /// To be told where the file is named.
    Here(Diagnostic),
}

/// What is wrong with the settings given to a part.
fn settings_problems(document: &Document, entry: &str, takes: &Takes) -> Vec<Diagnostic> {
    let Some(validator) = &takes.validator else {
        return Vec::new();
    };
    let at = format!("{entry}/settings");
    // As if none were given; what is missing is missing in the entry.
    let none = json!({});
    let given = document.value.pointer(&at).unwrap_or(&none);
    misfits_of(given, document, &at, &takes.schema, validator, "setting")
}

/// The settings given to a part that it can use.
fn given(filled: &Filled, pointer: &str, entry: &Value, takes: &Takes) -> BTreeMap<String, Given> {
    let settings = entry.get("settings").and_then(Value::as_object);
    let usable = settings
        .into_iter()
        .flatten()
        .filter(|(name, value)| takes.allows(name, value));
    usable
        .filter_map(|(name, value)| {
            let written = filled.written(&format!("{pointer}/settings/{}", escape(name)))?;
            let value = value.clone();
            Some((name.clone(), Given { value, written }))
        })
        .collect()
}

/// A file in a circle, by its own name.
fn short(file: &Path) -> String {
    file.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}
