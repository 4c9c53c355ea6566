//! The design as JSON. Its schema is the contract's own types, as `sdk/wit/hoopwright.wit` has them.

mod choices;
mod columns;
mod optional;

use crate::design::{Design, unsound};
use crate::diagnostics::{Diagnostic, Failed, MOST_TOLD};
use crate::json::{Document, FileKind, MARK, MOST_PLACED, holds_more_than, misfits};
use columns::Columns;
use jsonschema::Validator;
use serde::Serialize;
use serde_json::Value;
use std::path::Path;

/// So many values a design may hold: those of nearly ten million stitches, more than a machine file takes.
const MOST_VALUES: usize = 20_000_000;

/// Reads a design, written by a program or by hand: what has a default in the schema may be left
/// out. `file` is named in what is reported.
///
/// # Errors
/// Everything that is wrong with the text, with its line and column, or with the design.
pub fn read(text: &str, file: &Path) -> Result<Design, Failed> {
    if holds_more_than(text, MOST_VALUES) {
        let words = format!("this design holds more than {MOST_VALUES} numbers and names");
        return Err(Diagnostic::error("too-many-values", words)
            .in_file(file)
            .help("Take it apart into several designs.")
            .into());
    }
    let schema = schema();
    let validator = validator(&schema)?;
    let json = text.strip_prefix(MARK).unwrap_or(text);
    let fits = serde_json::from_str::<Value>(json).is_ok_and(|value| validator.is_valid(&value));
    // Where nothing is left out, as in all that is written by program, this is the whole way.
    if fits && let Ok(design) = serde_json::from_str::<Design>(json) {
        let problems = unsound(&design);
        if problems.is_empty() {
            return Ok(design);
        }
        if holds_more_than(text, MOST_PLACED) {
            let told = problems.into_iter().take(MOST_TOLD);
            return Err(Failed(told.map(|one| one.in_file(file)).collect()));
        }
    }
    // Where each part stands is worked out only for what may have to be pointed at.
    let document = Document::parse(file, text.to_owned()).map_err(Failed)?;
    if !fits {
        if let Some(mistaken) = FileKind::Design.mistaken(&document) {
            return Err(mistaken.into());
        }
        let mut problems = misfits(&document, "", &schema, &validator, "entry");
        choices::tell_inside(&mut problems, &document, &schema)?;
        return Err(Failed(problems));
    }
    let mut value = document.value.clone();
    let missing = optional::fill_in(&mut value, &schema, file);
    let mut design: Design = serde_json::from_value(value).map_err(|error| {
        Diagnostic::error("misfit", format!("this is not a design: {error}")).in_file(file)
    })?;
    missing.complete(&mut design);
    let problems = unsound(&design);
    if problems.is_empty() {
        return Ok(design);
    }
    let problems = problems.into_iter().take(MOST_TOLD);
    Err(Failed(
        problems
            .map(|problem| point_at_object(problem, &design, &document))
            .collect(),
    ))
}

/// A problem of a design that fits the schema, at the id of the object it names.
fn point_at_object(problem: Diagnostic, design: &Design, document: &Document) -> Diagnostic {
    // A message shows an id as it is, or what commands in it by its number.
    let shown = |id: String| problem.message.contains(&format!("\"{id}\""));
    let named = |id: &str| shown(id.to_owned()) || shown(id.escape_debug().to_string());
    let place = design.objects.iter().rposition(|object| named(&object.id));
    match place {
        Some(i) => {
            let range = document.value_range(&format!("/objects/{i}/id"));
            document.point(problem, range)
        }
        // The page, the title, or two objects at once.
        None if problem.message.starts_with("the page") => {
            document.point(problem, document.value_range("/page"))
        }
        None if problem.message.starts_with("the title") => {
            document.point(problem, document.value_range("/title"))
        }
        None => document.point(problem, document.value_range("/objects")),
    }
}

fn validator(schema: &Value) -> Result<Validator, Failed> {
    jsonschema::draft202012::new(schema).map_err(|error| {
        let words = format!("the design's schema is broken: {error}");
        Diagnostic::error("internal", words).into()
    })
}

/// Writes a design: one line for each column of numbers. Every number comes back as it was.
pub fn write(design: &Design) -> String {
    let mut text = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut text, Columns::default());
    // Writing plain data into memory can't fail: the types hold no map and no own serializer.
    let done = design.serialize(&mut serializer);
    debug_assert!(done.is_ok());
    text.push(b'\n');
    String::from_utf8(text).unwrap_or_default()
}

/// The JSON Schema (draft 2020-12) of a design, with what may be left out and its defaults.
pub fn schema() -> Value {
    let mut schema = Value::from(schemars::schema_for!(Design));
    optional::allow_leaving_out(&mut schema);
    refuse_unknown_names(&mut schema);
    // schemars leaves it to `format`, which validators take no notice of.
    schema["$defs"]["Object"]["properties"]["thread"]["maximum"] = u32::MAX.into();
    schema["title"] = "Hoopwright design".into();
    schema
}

/// Closes every object of the schema that names its properties.
fn refuse_unknown_names(schema: &mut Value) {
    match schema {
        Value::Object(fields) => {
            if fields.contains_key("properties") {
                fields.insert("additionalProperties".to_owned(), false.into());
            }
            for (name, field) in fields.iter_mut() {
                if name == "properties" || name == "$defs" {
                    // Names of ours, not of the schema's.
                    if let Value::Object(own) = field {
                        own.values_mut().for_each(refuse_unknown_names);
                    }
                } else {
                    refuse_unknown_names(field);
                }
            }
        }
        Value::Array(parts) => parts.iter_mut().for_each(refuse_unknown_names),
        _ => {}
    }
}

#[cfg(test)]
mod tests;
