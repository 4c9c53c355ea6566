//! The rules of a pipeline file, as JSON Schema for editors and for the check.

use super::file::Pipeline;
use crate::diagnostics::{Diagnostic, Failed};
use crate::plugins::Plugins;
use serde_json::{Map, Value, json};

/// The schema of a pipeline file, settings of steps left open.
pub fn bare() -> Value {
    Value::from(
        schemars::generate::SchemaSettings::draft2020_12()
            .into_generator()
            .into_root_schema_for::<Pipeline>(),
    )
}

/// The schema of a pipeline file with every known step and its settings, so that an editor
/// completes and checks while typing. Plain draft 2020-12, with nothing to fetch.
///
/// # Errors
/// When a plugin cannot be used.
pub fn composed(plugins: &Plugins) -> Result<Value, Failed> {
    let mut schema = bare();
    let mut problems: Vec<Diagnostic> = Vec::new();
    let mut names = Vec::new();
    let mut rules = Vec::new();
    let mut definitions = Map::new();
    for name in plugins.names() {
        match plugins.get(name) {
            Some(Ok(plugin)) => {
                let place = format!("settings of {name}");
                definitions.insert(place.clone(), lifted(&plugin.schema, &place));
                names.push(json!({"const": name, "description": plugin.summary}));
                rules.push(json!({
                    "if": {"properties": {"step": {"const": name}}, "required": ["step"]},
                    "then": {"properties": {"settings": {"$ref": format!("#/$defs/{}", token(&place))}}},
                }));
            }
            Some(Err(problem)) => problems.push(problem),
            None => {}
        }
    }
    if !problems.is_empty() {
        return Err(Failed(problems));
    }
    if let Some(step) = schema
        .pointer_mut("/$defs/Step")
        .and_then(Value::as_object_mut)
    {
        step.insert("allOf".to_owned(), Value::Array(rules));
        if let Some(Value::Object(name)) = step
            .get_mut("properties")
            .and_then(|properties| properties.get_mut("step"))
        {
            name.insert("oneOf".to_owned(), Value::Array(names));
        }
    }
    if let Some(all) = schema.get_mut("$defs").and_then(Value::as_object_mut) {
        all.extend(definitions);
    }
    Ok(schema)
}

/// A plugin's schema as a part of another: its inner references point to its new place.
fn lifted(schema: &Value, place: &str) -> Value {
    let mut schema = schema.clone();
    if let Some(root) = schema.as_object_mut() {
        root.remove("$schema");
    }
    redirect(&mut schema, place);
    schema
}

fn redirect(value: &mut Value, place: &str) {
    match value {
        Value::Object(object) => {
            if let Some(Value::String(target)) = object.get_mut("$ref")
                && let Some(inner) = target.strip_prefix('#')
            {
                *target = format!("#/$defs/{}{inner}", token(place));
            }
            object.values_mut().for_each(|inner| redirect(inner, place));
        }
        Value::Array(several) => several.iter_mut().for_each(|inner| redirect(inner, place)),
        _ => {}
    }
}

/// A name as it stands in a reference: a URI fragment (RFC 3986) has no spaces.
fn token(name: &str) -> String {
    name.replace(' ', "%20")
}
