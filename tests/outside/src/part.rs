//! A part: steps in a file of their own.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::{Subject, json, routine, told};
use arbitrary::{Result, Unstructured};
use hoopwright::pipeline;
use serde_json::Value;
use std::sync::LazyLock;

/// Parts, by their schema.
pub const SUBJECT: Subject = Subject {
    name: "part",
    make: any,
    wrongs,
    seeds: &["demo-pipelines/parts/tiny-details.json"],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(pipeline::schema::bare_part);

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let maker = Maker::new(&SCHEMA);
    let mut steps = routine::steps(&maker, bytes)?;
    let mut part = maker.value(bytes)?;
    let names: Vec<String> = part["takes"]
        .as_object()
        .into_iter()
        .flatten()
        .map(|(name, _)| name.clone())
        .collect();
    for step in steps.as_array_mut().into_iter().flatten() {
        for within in ["settings", "on"] {
            for value in step[within]
                .as_object_mut()
                .into_iter()
                .flat_map(|all| all.values_mut())
            {
                if !names.is_empty() && once_in(bytes, 3)? {
                    *value = serde_json::json!({ "taken": bytes.choose(&names)? });
                }
            }
        }
    }
    if let Some(fields) = part.as_object_mut() {
        fields.insert("steps".to_owned(), steps);
    }
    json::file(&part, bytes)
}

/// Everything is told in line and column, twice the same.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let plugins = match routine::plugins() {
        Ok(plugins) => plugins,
        Err(why) => return vec![why],
    };
    let path = routine::path();
    let checked = pipeline::check_part(&path, text.to_owned(), plugins);
    let again = pipeline::check_part(&path, text.to_owned(), plugins);
    let mut wrongs = Vec::new();
    if checked != again {
        wrongs.push("it is checked in two ways".to_owned());
    }
    if let Err(failed) = checked {
        wrongs.extend(told::placed_refusal(&failed, &path, text));
    }
    wrongs
}
