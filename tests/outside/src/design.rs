//! The design as JSON.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::{Subject, json, told};
use arbitrary::{Result, Unstructured};
use hoopwright::formats::design_json;
use serde_json::Value;
use std::path::Path;
use std::sync::LazyLock;

/// Designs, by the schema of the contract's own types.
pub const SUBJECT: Subject = Subject {
    name: "design",
    make: any,
    wrongs,
    seeds: &[],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(design_json::schema);

/// A design that mostly fits its schema: columns of one length, threads that are there.
fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut design = Maker::new(&SCHEMA).value(bytes)?;
    if !once_in(bytes, 8)? {
        mend(&mut design);
    }
    json::file(&design, bytes)
}

/// Makes what a schema cannot say hold: columns of equal length, ids of their own, threads that are there.
fn mend(design: &mut Value) {
    let threads = design["threads"].as_array().map_or(0, Vec::len);
    if let Some(objects) = json::list(design, "objects") {
        for (i, object) in objects.iter_mut().enumerate() {
            if let Some(object) = object.as_object_mut() {
                object.insert("id".to_owned(), format!("object-{i}").into());
                let thread = object.get("thread").and_then(Value::as_u64).unwrap_or(0);
                object.insert("thread".to_owned(), (thread % threads.max(1) as u64).into());
            }
        }
    }
    columns(design);
}

fn columns(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            let length = |name| fields.get(name).and_then(Value::as_array).map(Vec::len);
            if let (Some(x), Some(y)) = (length("x"), length("y")) {
                for name in ["x", "y"] {
                    if let Some(Value::Array(column)) = fields.get_mut(name) {
                        column.truncate(x.min(y));
                    }
                }
            }
            fields.values_mut().for_each(columns);
        }
        Value::Array(all) => all.iter_mut().for_each(columns),
        _ => {}
    }
}

/// A design that is read comes back as it was after writing, with the same text the next time. One
/// that is refused is refused with line and column.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let path = Path::new("owl.design.json");
    let design = match design_json::read(text, path) {
        Ok(design) => design,
        Err(failed) => return told::placed_refusal(&failed, path, text),
    };
    let mut wrongs = hoopwright::design::valid::problems(&design);
    let written = design_json::write(&design);
    match design_json::read(&written, path) {
        Ok(again) if again == design => {
            if design_json::write(&again) != written {
                wrongs.push("written again, it is another text".to_owned());
            }
        }
        Ok(_) => wrongs.push("it comes back as another design".to_owned()),
        Err(failed) => wrongs.push(format!("what was written is not read: {failed}")),
    }
    wrongs
}
