//! The steps, told to people: a list of all, and one with its settings.

use super::stop::Stop;
use hoopwright::diagnostics::Diagnostic;
use hoopwright::json::nearest::did_you_mean;
use hoopwright::plugins::{Layer, Plugins};
use hoopwright::sandbox::{Kind, Plugin};
use serde_json::{Value, json};

/// Lists all steps.
pub fn list(plugins: &Plugins, as_json: bool) -> Result<(), Stop> {
    let names: Vec<String> = plugins.names().map(str::to_owned).collect();
    let mut all = Vec::new();
    let mut problems = Vec::new();
    for plugin in names.iter().filter_map(|name| plugins.get(name)) {
        match plugin {
            Ok(plugin) => all.push(plugin),
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(Stop::Input(problems));
    }
    if as_json {
        let list: Vec<Value> = all
            .iter()
            .map(|plugin| {
                json!({
                    "name": plugin.name,
                    "version": plugin.version,
                    "kind": plugin.kind,
                    "layer": plugins.layer(&plugin.name),
                    "origin": plugin.origin.to_string(),
                    "stands-in-for": plugins.shadowed(&plugin.name).map(|(_, origin)| origin.to_string()).collect::<Vec<_>>(),
                    "sha256": plugin.digest.iter().map(|byte| format!("{byte:02x}")).collect::<String>(),
                    "summary": plugin.summary,
                })
            })
            .collect();
        println!("{:#}", Value::Array(list));
        return Ok(());
    }
    let widest = all
        .iter()
        .map(|plugin| plugin.name.len())
        .max()
        .unwrap_or(0);
    for plugin in all {
        println!(
            "{:widest$}  {:6}  {}  {}",
            plugin.name,
            kind_word(plugin.kind),
            plugin.version,
            plugin.summary
        );
        if let Some(layer) = plugins.layer(&plugin.name)
            && layer != Layer::BuiltIn
        {
            println!("{:widest$}  {} from {}", "", plugin.origin, layer.words());
        }
        for (layer, origin) in plugins.shadowed(&plugin.name) {
            println!("{:widest$}  instead of {origin} from {}", "", layer.words());
        }
    }
    Ok(())
}

fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Object => "object",
        Kind::Design => "design",
    }
}

/// Describes one step.
pub fn describe(plugins: &Plugins, name: &str, schema: bool) -> Result<(), Stop> {
    let plugin = plugins.get(name).ok_or_else(|| {
        Diagnostic::error("unknown-step", format!("there is no step \"{name}\""))
            .help(did_you_mean(name, plugins.names()))
    })??;
    if schema {
        println!("{:#}", plugin.schema);
        return Ok(());
    }
    let sees = match plugin.kind {
        Kind::Object => "one object at a time",
        Kind::Design => "the whole design",
    };
    println!(
        "{} {} ({}), sees {sees}",
        plugin.name, plugin.version, plugin.origin
    );
    println!("{}", plugin.summary);
    if !plugin.manual.trim().is_empty() {
        println!("\n{}", plugin.manual.trim());
    }
    println!("\nSettings:");
    for setting in settings(&plugin) {
        println!("\n  {}  {}", setting.name, setting.bounds);
        for line in setting.description.lines() {
            println!("      {line}");
        }
        for (word, meaning) in setting.choices {
            println!("      - {word}: {}", meaning.replace('\n', " "));
        }
    }
    Ok(())
}

/// A setting as the table shows it.
struct Setting {
    name: String,
    /// Unit, range and default.
    bounds: String,
    description: String,
    choices: Vec<(String, String)>,
}

fn settings(plugin: &Plugin) -> Vec<Setting> {
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
                name: name.clone(),
                bounds: bounds.join(" "),
                description: of("description")
                    .and_then(Value::as_str)
                    .unwrap_or_default()
                    .to_owned(),
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
    let text = |value: Option<&Value>| value.and_then(Value::as_str).unwrap_or_default().to_owned();
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
