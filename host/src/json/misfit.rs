//! Where a value does not fit its schema, in words for whoever wrote it.

use super::Document;
use super::document::escape;
use super::nearest::did_you_mean;
use crate::diagnostics::{Diagnostic, MOST_TOLD};
use jsonschema::error::ValidationErrorKind as Misfit;
use jsonschema::{ValidationError, Validator};
use serde_json::Value;

/// Everything in the value at `pointer` that does not fit `schema`, each pointed at its place; of very
/// much the first [`MOST_TOLD`].
///
/// `noun` names what the properties are, such as `setting`.
pub fn misfits(
    document: &Document,
    pointer: &str,
    schema: &Value,
    validator: &Validator,
    noun: &str,
) -> Vec<Diagnostic> {
    let value = document.value.pointer(pointer);
    value.map_or_else(Vec::new, |value| {
        misfits_of(value, document, pointer, schema, validator, noun)
    })
}

/// The same of a `value` that the document may leave out: it then stands for one at `pointer`, and is pointed at
/// the value around it.
pub fn misfits_of(
    value: &Value,
    document: &Document,
    pointer: &str,
    schema: &Value,
    validator: &Validator,
    noun: &str,
) -> Vec<Diagnostic> {
    validator
        .iter_errors(value)
        .flat_map(|error| explain(document, pointer, schema, &error, noun))
        .take(MOST_TOLD)
        .collect()
}

fn explain(
    document: &Document,
    base: &str,
    schema: &Value,
    error: &ValidationError<'_>,
    noun: &str,
) -> Vec<Diagnostic> {
    let pointer = format!("{base}{}", error.instance_path());
    // The schema object that holds the keyword which failed.
    let keyword = error.schema_path().to_string();
    let at = keyword.rfind('/').map_or("", |end| &keyword[..end]);
    let here = schema.pointer(at).unwrap_or(&Value::Null);
    let name = pointer.rsplit('/').next().unwrap_or_default();
    let subject = if name.is_empty() || name.parse::<usize>().is_ok() {
        "this".to_owned()
    } else {
        format!("\"{name}\"")
    };
    if let Misfit::AnyOf { context } = error.kind()
        && let Some(only) = besides_null(here, context)
    {
        let within = only.iter();
        return within
            .flat_map(|error| explain(document, base, schema, error, noun))
            .collect();
    }
    let given = error.instance();
    let shown = short(given);
    let unit = here
        .get("unit")
        .and_then(Value::as_str)
        .map_or(String::new(), |unit| format!(" {unit}"));
    let on_value = |code, message: String| {
        document.point(
            Diagnostic::error(code, message),
            document.value_range(&pointer),
        )
    };
    let limit = |words: &str, limit: &Value| {
        on_value(
            "out-of-range",
            format!("{subject} is {shown}, and must be {words} {limit}{unit}"),
        )
    };
    let one = match error.kind() {
        Misfit::AdditionalProperties { unexpected } => {
            let known: Vec<&str> = here
                .get("properties")
                .and_then(Value::as_object)
                .map(|known| known.keys().map(String::as_str).collect())
                .unwrap_or_default();
            return unexpected
                .iter()
                .take(MOST_TOLD)
                .map(|name| {
                    let range = document.key_range(&format!("{pointer}/{}", escape(name)));
                    let unknown =
                        Diagnostic::error("unknown-name", format!("there is no {noun} \"{name}\""))
                            .help(did_you_mean(name, known.iter().copied()));
                    document.point(unknown, range)
                })
                .collect();
        }
        Misfit::Required { property } => on_value(
            "missing-name",
            format!(
                "\"{}\" is missing here",
                property.as_str().unwrap_or_default()
            ),
        ),
        Misfit::Minimum { limit: least } => limit("at least", least),
        Misfit::Maximum { limit: greatest } => limit("at most", greatest),
        Misfit::ExclusiveMinimum { limit: least } => limit("more than", least),
        Misfit::ExclusiveMaximum { limit: greatest } => limit("less than", greatest),
        Misfit::Type { .. } => on_value(
            "wrong-type",
            format!(
                "{subject} is {}, and must be {}",
                sort_of(given),
                sorts(here.get("type").unwrap_or(&Value::Null)).unwrap_or("something else".into())
            ),
        ),
        Misfit::OneOfNotValid { .. }
        | Misfit::AnyOf { .. }
        | Misfit::Enum { .. }
        | Misfit::Constant { .. } => {
            let options = options(here);
            let words = on_value(
                "unknown-choice",
                format!("{subject} is {shown}, which is not one of its choices"),
            );
            if let Some(given) = given.as_str()
                && !options.is_empty()
            {
                words.help(did_you_mean(given, options.iter().map(String::as_str)))
            } else if options.is_empty() {
                words
            } else {
                words.help(format!("There are: {}.", options.join(", ")))
            }
        }
        _ => on_value("misfit", format!("{subject} does not fit: {error}")),
    };
    vec![one]
}

/// The longest value that a message repeats, in characters.
const LONGEST: usize = 80;

/// A value as a message repeats it: of a long one the beginning.
pub fn short(value: &Value) -> String {
    let text = value.to_string();
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text,
    }
}

/// Why a value is not what an `anyOf` asks for, where that is one thing or nothing, as with settings that may
/// be left out as a group: each branch of `here` has its errors in `context`.
fn besides_null<'a>(
    here: &Value,
    context: &'a [Vec<ValidationError<'static>>],
) -> Option<&'a [ValidationError<'static>]> {
    let branches = here.get("anyOf")?.as_array()?.iter();
    let null = |branch: &Value| branch.get("type").and_then(Value::as_str) == Some("null");
    let mut others = branches.zip(context).filter(|(branch, _)| !null(branch));
    match (others.next(), others.next()) {
        (Some((_, only)), None) => Some(only),
        _ => None,
    }
}

/// The words that a schema of choices allows.
fn options(schema: &Value) -> Vec<String> {
    let mut found = Vec::new();
    for key in ["oneOf", "anyOf"] {
        for branch in schema
            .get(key)
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            found.extend(options(branch));
        }
    }
    found.extend(
        schema
            .get("const")
            .and_then(Value::as_str)
            .map(str::to_owned),
    );
    for word in schema
        .get("enum")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        found.extend(word.as_str().map(str::to_owned));
    }
    found
}

fn sort_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a text",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}

/// JSON Schema's names of types in plain words.
fn sorts(types: &Value) -> Option<String> {
    let word = |name: &Value| {
        Some(match name.as_str()? {
            "null" => "null",
            "boolean" => "true or false",
            "integer" => "a whole number",
            "number" => "a number",
            "string" => "a text",
            "array" => "a list",
            "object" => "an object",
            _ => return None,
        })
    };
    match types {
        Value::Array(several) => {
            let words: Vec<&str> = several.iter().filter_map(word).collect();
            Some(words.join(" or "))
        }
        one => word(one).map(str::to_owned),
    }
}

#[cfg(test)]
mod tests;
