//! The thread rack as a file.

use crate::design::{Design, Object, Thread};
use crate::diagnostics::{Diagnostic, Failed, MOST_TOLD};
use crate::json::{Document, FileKind, misfits};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::path::Path;

/// A colour in sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Colour {
    /// Reads a CSS colour without transparency, such as `#5a4632` or `tan`.
    pub fn parse(text: &str) -> Option<Self> {
        let [red, green, blue, opacity] = csscolorparser::parse(text).ok()?.to_rgba8();
        (opacity == 255).then_some(Self::new([red, green, blue]))
    }

    /// The colour of these three channels.
    pub fn new([red, green, blue]: [u8; 3]) -> Self {
        Self { red, green, blue }
    }

    /// The colour of a thread.
    pub fn of(thread: &Thread) -> Self {
        Self::new([thread.red, thread.green, thread.blue])
    }

    /// The colour of an object's thread; grey where the design has no such thread.
    pub fn of_object(design: &Design, object: &Object) -> Self {
        let thread = design.threads.get(object.thread as usize);
        thread.map_or(Self::new([128; 3]), Self::of)
    }
}

impl std::fmt::Display for Colour {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

/// A shop's thread rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Rack {
    /// Where this file's schema stands, for the editor.
    #[serde(rename = "$schema", default, skip_serializing_if = "String::is_empty")]
    pub schema: String,
    /// For people.
    pub name: String,
    /// The threads, in the order of the rack.
    pub threads: Vec<RackThread>,
}

/// A thread on the rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RackThread {
    /// The shop's own code, as it stands on the cone.
    pub code: String,
    /// For people.
    pub name: String,
    /// A CSS colour (sRGB) as the sewn thread looks, such as "#5a4632".
    pub colour: String,
    /// Weight number; 40 unless given.
    #[serde(default = "usual_weight")]
    #[schemars(range(min = 8, max = 150))]
    pub weight: u16,
}

/// The weight number of the thread that most embroidery is sewn with.
pub(super) const USUAL_WEIGHT: u16 = 40;
/// The weight numbers there are.
pub(super) const WEIGHTS: std::ops::RangeInclusive<u16> = 8..=150;

fn usual_weight() -> u16 {
    USUAL_WEIGHT
}

pub(super) fn code_twice(code: &str) -> Diagnostic {
    Diagnostic::error("given-twice", format!("the code \"{code}\" is given twice"))
        .help("An operator finds a thread by its code: give each its own.")
}

pub(super) fn no_colour(text: &str) -> Diagnostic {
    Diagnostic::error("not-a-colour", format!("\"{text}\" is not a CSS colour"))
        .help("Write it like \"#5a4632\".")
}

/// The JSON Schema (draft 2020-12) of a rack.
pub fn schema() -> serde_json::Value {
    serde_json::Value::from(schemars::schema_for!(Rack))
}

/// Reads a rack: a table where the file's name ends in `.csv`, else JSON.
///
/// # Errors
/// Every problem with the file, each with its place.
pub fn read(file: &Path, text: String) -> Result<Rack, Failed> {
    let table = file
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
    if table {
        super::table::read(file, &text)
    } else {
        read_json(file, text)
    }
}

fn read_json(file: &Path, text: String) -> Result<Rack, Failed> {
    let document = Document::parse(file, text).map_err(Failed)?;
    if let Some(mistaken) = FileKind::Rack.mistaken(&document) {
        return Err(mistaken.into());
    }
    let schema = schema();
    let validator = jsonschema::draft202012::new(&schema).map_err(|error| {
        Diagnostic::error(
            "internal",
            format!("the rack's own schema is broken: {error}"),
        )
    })?;
    let mut problems = misfits(&document, "", &schema, &validator, "entry");
    let threads = document.value.get("threads").and_then(Value::as_array);
    let mut codes = std::collections::BTreeSet::new();
    for (i, thread) in threads.into_iter().flatten().enumerate() {
        if problems.len() >= MOST_TOLD {
            break;
        }
        let code = thread.get("code").and_then(Value::as_str);
        if let Some(code) = code
            && !code.is_empty()
            && !codes.insert(code)
        {
            problems.push(document.point(
                code_twice(code),
                document.value_range(&format!("/threads/{i}/code")),
            ));
        }
        let colour = thread.get("colour").and_then(Value::as_str);
        if let Some(colour) = colour.filter(|colour| Colour::parse(colour).is_none()) {
            problems.push(document.point(
                no_colour(colour),
                document.value_range(&format!("/threads/{i}/colour")),
            ));
        }
    }
    problems.sort_by_key(|problem| problem.range.as_ref().map_or(0, |range| range.start));
    let rack: Option<Rack> = serde_json::from_value(document.value.clone()).ok();
    if let Some(rack) = &rack
        && rack.threads.is_empty()
    {
        problems.push(document.point(
            Diagnostic::error("empty-rack", "the rack holds no thread"),
            document.value_range("/threads"),
        ));
    }
    match rack {
        Some(rack) if problems.is_empty() => Ok(rack),
        _ => Err(Failed(problems)),
    }
}
