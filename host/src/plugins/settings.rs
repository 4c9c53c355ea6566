//! A step's settings, told to people.

use crate::sandbox::{Plugin, harmless};
use serde_json::Value;

/// A setting as people see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Its name in a pipeline.
    pub name: String,
    /// Range, unit and default.
    pub bounds: String,
    /// What it means.
    pub description: String,
    /// The words it may be, each with its meaning, where it is one of several.
    pub choices: Vec<(String, String)>,
}

/// How far a setting's own settings are told: a schema may lead into itself.
const DEEPEST: usize = 4;

/// The settings of a step, in order of name, as its schema tells them. The settings within one follow it:
/// `edge.inset` within `edge`, `layers[].angle` within each of the list `layers`.
pub fn settings(plugin: &Plugin) -> Vec<Setting> {
    let mut settings = Vec::new();
    within("", &plugin.schema, &plugin.schema, 0, &mut settings);
    settings
}

/// Adds the settings that `schema`, a part of `root`, has as properties.
fn within(before: &str, schema: &Value, root: &Value, depth: usize, settings: &mut Vec<Setting>) {
    let properties = schema.get("properties").and_then(Value::as_object);
    for (name, schema) in properties.into_iter().flatten() {
        let name = format!("{before}{name}");
        let whole = referred(root, schema).unwrap_or(schema);
        let items = whole.get("items");
        let each = items.map(|items| referred(root, items).unwrap_or(items));
        settings.push(Setting {
            name: harmless(&name),
            bounds: harmless(&bounds(schema, whole, each)),
            description: harmless(
                schema
                    .get("description")
                    .or_else(|| whole.get("description"))
                    .and_then(Value::as_str)
                    .unwrap_or_default(),
            ),
            choices: choices(each.unwrap_or(whole)),
        });
        if depth < DEEPEST {
            let (inner, before) = match each {
                Some(each) => (each, format!("{name}[].")),
                None => (whole, format!("{name}.")),
            };
            within(&before, inner, root, depth + 1, settings);
        }
    }
}

/// Kind, range, unit and default: of `schema` itself, else of the `whole` that it refers to. A list's range and
/// unit are those of each of its items.
fn bounds(schema: &Value, whole: &Value, each: Option<&Value>) -> String {
    let of = |key: &str| {
        let own = schema.get(key).or_else(|| whole.get(key));
        own.or_else(|| each?.get(key))
    };
    let mut bounds = Vec::new();
    if each.is_some() {
        bounds.push("list of".to_owned());
    }
    let number = |key: &str| of(key).filter(|bound| bound.is_number());
    match (number("minimum"), number("maximum")) {
        (Some(least), Some(greatest)) => bounds.push(format!("{least} to {greatest}")),
        (Some(least), None) => bounds.push(format!("from {least}")),
        (None, Some(greatest)) => bounds.push(format!("to {greatest}")),
        (None, None) => bounds.extend(each.map(|each| kind(each).to_owned())),
    }
    if let Some(unit) = of("unit").and_then(Value::as_str) {
        bounds.push(unit.to_owned());
    }
    if let Some(default) = schema.get("default") {
        let word = match default {
            Value::Null => "none".to_owned(),
            Value::String(word) if !word.is_empty() => word.clone(),
            other => other.to_string(),
        };
        bounds.push(format!("(default {word})"));
    }
    bounds.join(" ")
}

/// What each item of a list is, in a word.
fn kind(each: &Value) -> &str {
    if !choices(each).is_empty() {
        return "words";
    }
    match each.get("type").and_then(Value::as_str) {
        Some("string") => "texts",
        Some("number" | "integer") => "numbers",
        Some("array") => "lists",
        Some("object") => "groups of settings",
        _ => "values",
    }
}

/// The definition that a property's schema refers to, also as one of several.
fn referred<'a>(root: &'a Value, schema: &'a Value) -> Option<&'a Value> {
    let reference = schema.get("$ref").or_else(|| {
        let several = schema.get("anyOf")?.as_array()?;
        several.iter().find_map(|one| one.get("$ref"))
    })?;
    root.pointer(reference.as_str()?.strip_prefix('#')?)
}

fn choices(schema: &Value) -> Vec<(String, String)> {
    let text = |value: Option<&Value>| harmless(value.and_then(Value::as_str).unwrap_or_default());
    let documented = schema
        .get("oneOf")
        .and_then(Value::as_array)
        .into_iter()
        .flatten();
    let mut choices: Vec<(String, String)> = documented
        .filter(|one| one.get("const").is_some())
        .map(|one| (text(one.get("const")), text(one.get("description"))))
        .collect();
    for word in schema
        .get("enum")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        choices.push((text(Some(word)), String::new()));
    }
    choices
}
