//! The steps, told to people: a list of all, and one with its settings.

use super::stop::Stop;
use hoopwright::fingerprint::Fingerprint;
use hoopwright::plugins::{Layer, Plugins, settings};
use hoopwright::sandbox::Kind;
use serde_json::{Value, json};

/// Lists all steps.
pub fn list(plugins: &Plugins, as_json: bool) -> Result<(), Stop> {
    let all = plugins.all(plugins.names())?;
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
                    "sha256": Fingerprint(plugin.digest).to_string(),
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
            println!("{:widest$}  {} from {}", "", plugin.origin, words(layer));
        }
        for (layer, origin) in plugins.shadowed(&plugin.name) {
            println!("{:widest$}  instead of {origin} from {}", "", words(layer));
        }
    }
    Ok(())
}

/// A layer as the command line names it.
fn words(layer: Layer) -> &'static str {
    match layer {
        Layer::Given => "--plugin",
        other => other.words(),
    }
}

fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Object => "object",
        Kind::Design => "design",
    }
}

/// Describes one step.
pub fn describe(plugins: &Plugins, name: &str, schema: bool) -> Result<(), Stop> {
    let plugin = plugins.find(name)?;
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
