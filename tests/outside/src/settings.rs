//! The settings of a step, as a pipeline file has them.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::step::Stock;
use crate::{Subject, json, told};
use arbitrary::{Result, Unstructured};
use hoopwright::json::{Document, misfits};
use hoopwright_sdk::Design;
use hoopwright_sdk::testing::{design, keeps_the_contract_on};
use serde_json::{Value, json};
use std::path::Path;

/// A step's name and its settings, which keep to its schema or do not.
pub const SUBJECT: Subject = Subject {
    name: "settings",
    make: any,
    wrongs,
    seeds: &[],
};

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let (name, schema) = Stock::any(bytes)?;
    let maker = if once_in(bytes, 3)? {
        Maker::new(&schema)
    } else {
        Maker::without_slips(&schema)
    };
    let settings = maker.value(bytes)?;
    json::file(&json!({ "step": name, "settings": settings }), bytes)
}

/// A design on which every step has something to do.
fn owl() -> Design {
    design()
        .polygon(
            "wing",
            &[(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)],
        )
        .polygon("ring", &[(5.0, 5.0), (25.0, 6.0), (24.0, 9.0), (6.0, 8.0)])
        .line("outline", &[(0.0, 0.0), (20.0, 0.0), (20.0, 12.0)], 0.6)
        .line("vein", &[(20.1, 12.0), (30.0, 18.0)], 1.5)
        .line("direction-mark", &[(2.0, 2.0), (12.0, 9.0)], 0.2)
        .sewn(2.0)
        .into()
}

/// What the schema accepts, the step takes and keeps its contract; what it does not, is told with line
/// and column.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let path = Path::new("owl.json");
    let document = match Document::parse(path, text.to_owned()) {
        Ok(document) => document,
        Err(told) => {
            return told::placed_refusal(&hoopwright::diagnostics::Failed(told), path, text);
        }
    };
    let name = document.value["step"].as_str().unwrap_or_default();
    let wrongs = Stock::with(name, |stock| {
        let Ok(validator) = jsonschema::draft202012::new(&stock.schema) else {
            return vec!["the schema cannot be used".to_owned()];
        };
        let misfits = misfits(&document, "/settings", &stock.schema, &validator, "setting");
        let settings = &document.value["settings"];
        if validator.is_valid(settings) != misfits.is_empty() && settings != &Value::Null {
            return vec!["the schema says one thing, and what is told another".to_owned()];
        }
        if !misfits.is_empty() {
            return told::placed_refusal(&hoopwright::diagnostics::Failed(misfits), path, text);
        }
        if settings == &Value::Null {
            return Vec::new();
        }
        let design = owl();
        let all: Vec<usize> = (0..design.objects.len()).collect();
        keeps_the_contract_on(&stock.step, &design, &all, settings)
            .err()
            .into_iter()
            .collect()
    });
    wrongs.unwrap_or_default()
}
