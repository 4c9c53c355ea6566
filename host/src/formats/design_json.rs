//! The design as JSON. Its schema is the contract's own types, as `sdk/wit/hoopwright.wit` has them.

mod columns;

use crate::design::{Design, valid};
use crate::diagnostics::{Diagnostic, Failed};
use crate::json::{Document, misfits, words_and_place};
use columns::Columns;
use serde::Serialize;
use serde_json::Value;
use std::path::Path;

/// Reads a design. `file` is named in what is reported.
///
/// # Errors
/// Everything that is wrong with the text, with its line and column, or with the design.
pub fn read(text: &str, file: &Path) -> Result<Design, Failed> {
    let schema = schema();
    let validator = jsonschema::draft202012::new(&schema).map_err(|error| {
        Diagnostic::error(
            "internal",
            format!("the design's schema is broken: {error}"),
        )
    })?;
    let design = serde_json::from_str::<Design>(text);
    let fits = serde_json::from_str::<Value>(text).is_ok_and(|value| validator.is_valid(&value));
    match design {
        Ok(design) if fits => {
            let problems = valid::problems(&design).into_iter();
            let problems: Vec<Diagnostic> = problems
                .map(|problem| Diagnostic::error("design-unsound", problem).in_file(file))
                .collect();
            if problems.is_empty() {
                Ok(design)
            } else {
                Err(Failed(problems))
            }
        }
        // Where each part stands is worked out only for what has to be pointed at.
        unfit => {
            let document = Document::parse(file, text.to_owned()).map_err(Failed)?;
            let mut problems = misfits(&document, "", &schema, &validator, "entry");
            if let Err(error) = unfit {
                say_why(&mut problems, &error, &document);
            }
            Err(Failed(problems))
        }
    }
}

/// Adds what the types say to what the schema says. Of a shape, the schema only knows that none of
/// its choices fits; the types know which name or number is wrong, and where.
fn say_why(problems: &mut Vec<Diagnostic>, error: &serde_json::Error, document: &Document) {
    let (words, at) = words_and_place(error, &document.text);
    let covers = |problem: &Diagnostic| {
        let range = problem.range.clone().unwrap_or_default();
        range.start <= at && at <= range.end
    };
    let is_shape = |problem: &Diagnostic| {
        problem.code == "unknown-choice" && covers(problem) && problem.message.contains('{')
    };
    problems.retain(|problem| !is_shape(problem));
    if !problems.iter().any(covers) {
        let why = Diagnostic::error("misfit", format!("this is not a design: {words}"));
        problems.push(document.point(why, at..at));
    }
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

/// The JSON Schema (draft 2020-12) of a design.
pub fn schema() -> Value {
    let mut schema = Value::from(schemars::schema_for!(Design));
    refuse_unknown_names(&mut schema);
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
