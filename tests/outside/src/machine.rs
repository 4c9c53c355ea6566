//! A machine's profile.

use crate::schema::Maker;
use crate::{Subject, json, told};
use arbitrary::{Result, Unstructured};
use hoopwright::formats::dst::machine;
use serde_json::Value;
use std::path::Path;
use std::sync::LazyLock;

/// Profiles, by their schema.
pub const SUBJECT: Subject = Subject {
    name: "machine",
    make: any,
    wrongs,
    seeds: &["demo-pipelines/machine.json"],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(machine::schema);

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let profile = Maker::new(&SCHEMA).value(bytes)?;
    json::file(&profile, bytes)
}

/// A profile that is read holds within its own bounds, and comes back as it was; one that is refused
/// is refused with line and column.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let path = Path::new("machine.json");
    let machine = match machine::read(path, text.to_owned()) {
        Ok(machine) => machine,
        Err(failed) => return told::placed_refusal(&failed, path, text),
    };
    let mut wrongs = Vec::new();
    if let Err(failed) = machine.check() {
        wrongs.push(format!("it is read and does not hold: {failed}"));
    }
    match serde_json::to_string(&machine).map(|written| machine::read(path, written)) {
        Ok(Ok(again)) if again == machine => {}
        other => wrongs.push(format!("it comes back as {other:?}")),
    }
    for length in [0.0, 0.1, 3.0, 12.1, 1e9] {
        if !(100..=2000).contains(&machine.speed_of(length)) {
            wrongs.push(format!(
                "a speed of {} at {length} mm",
                machine.speed_of(length)
            ));
        }
    }
    wrongs
}
