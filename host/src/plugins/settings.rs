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

/// The settings of a step, in order of name, as its schema tells them.
pub fn settings(plugin: &Plugin) -> Vec<Setting> {
    let properties = plugin.schema.get("properties").and_then(Value::as_object);
    properties
        .into_iter()
        .flatten()
        .map(|(name, schema)| {
            let of = |key: &str| {
                schema
                    .get(key)
                    .or_else(|| referred(&plugin.schema, schema)?.get(key))
            };
            let mut bounds = Vec::new();
            if let (Some(least), Some(greatest)) = (of("minimum"), of("maximum")) {
                bounds.push(format!("{least} to {greatest}"));
            }
            if let Some(unit) = of("unit").and_then(Value::as_str) {
                bounds.push(unit.to_owned());
            }
            if let Some(default) = schema.get("default") {
                let word = match default {
                    Value::Null => "none".to_owned(),
                    Value::String(word) => word.clone(),
                    other => other.to_string(),
                };
                bounds.push(format!("(default {word})"));
            }
            Setting {
                name: harmless(name),
                bounds: harmless(&bounds.join(" ")),
                description: harmless(
                    of("description")
                        .and_then(Value::as_str)
                        .unwrap_or_default(),
                ),
                choices: referred(&plugin.schema, schema)
                    .map(choices)
                    .unwrap_or_default(),
            }
        })
        .collect()
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
