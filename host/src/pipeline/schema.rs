//! The rules of a pipeline file, as JSON Schema for editors and for the check.

use super::file::Pipeline;
use super::part::Part;
use crate::diagnostics::Failed;
use crate::plugins::Plugins;
use schemars::JsonSchema;
use serde_json::{Map, Value, json};

/// The schema of a pipeline file, settings of steps left open.
pub fn bare() -> Value {
    schema_of::<Pipeline>()
}

/// The schema of a part's file, settings of steps left open and what it takes filled in.
pub fn bare_part() -> Value {
    schema_of::<Part>()
}

fn schema_of<T: JsonSchema>() -> Value {
    Value::from(
        schemars::generate::SchemaSettings::draft2020_12()
            .into_generator()
            .into_root_schema_for::<T>(),
    )
}

/// The schema of a pipeline file with every known step and its settings, so that an editor
/// completes and checks while typing. Plain draft 2020-12, with nothing to fetch.
///
/// # Errors
/// When a plugin cannot be used.
pub fn composed(plugins: &Plugins) -> Result<Value, Failed> {
    with_steps(bare(), plugins, Clone::clone)
}

/// The same for a part's file, in which what the part takes may stand in the place of a value.
///
/// # Errors
/// When a plugin cannot be used.
pub fn composed_part(plugins: &Plugins) -> Result<Value, Failed> {
    let mut schema = bare_part();
    for (definition, names) in [
        (
            "Selection",
            &["tag", "name", "thread", "colour", "shape", "sewn"][..],
        ),
        ("Between", &["from", "under"]),
    ] {
        for name in names {
            let value = schema.pointer_mut(&format!("/$defs/{definition}/properties/{name}"));
            if let Some(value) = value {
                *value = or_taken(value);
            }
        }
    }
    if let Some(definitions) = schema.get_mut("$defs").and_then(Value::as_object_mut) {
        definitions.insert(
            TAKEN_HERE.to_owned(),
            json!({
                "type": "object",
                "properties": {
                    "taken": {
                        "description": "The name of a setting that this part takes.",
                        "type": "string",
                    },
                },
                "required": ["taken"],
                "additionalProperties": false,
            }),
        );
    }
    with_steps(schema, plugins, |settings| {
        let mut settings = settings.clone();
        let values = settings
            .get_mut("properties")
            .and_then(Value::as_object_mut);
        for (_, value) in values.into_iter().flatten() {
            *value = or_taken(value);
        }
        settings
    })
}

/// The definition of `{ "taken": … }`.
const TAKEN_HERE: &str = "TakenHere";

/// What a schema allows, or what the part takes. What editors show of it stays where they look for it.
fn or_taken(schema: &Value) -> Value {
    let mut outer = Map::new();
    for shown in ["description", "default", "examples", "unit"] {
        if let Some(text) = schema.get(shown) {
            outer.insert(shown.to_owned(), text.clone());
        }
    }
    let here = json!({"$ref": format!("#/$defs/{TAKEN_HERE}")});
    outer.insert("anyOf".to_owned(), json!([schema, here]));
    Value::Object(outer)
}

/// Adds the names and settings of all steps to a schema that has steps; `lax` says what the schema of
/// a step's settings becomes there.
fn with_steps(
    mut schema: Value,
    plugins: &Plugins,
    lax: impl Fn(&Value) -> Value,
) -> Result<Value, Failed> {
    let mut names = Vec::new();
    let mut rules = Vec::new();
    let mut definitions = Map::new();
    for plugin in plugins.all(plugins.names())? {
        let name = &plugin.name;
        let place = format!("settings of {name}");
        definitions.insert(place.clone(), lax(&lifted(&plugin.schema, &place)));
        names.push(json!({"const": name, "description": plugin.summary}));
        rules.push(json!({
            "if": {"properties": {"step": {"const": name}}, "required": ["step"]},
            "then": {"properties": {"settings": {"$ref": format!("#/$defs/{}", token(&place))}}},
        }));
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
