//! The lock of a pipeline.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::{Subject, json, told};
use arbitrary::{Result, Unstructured};
use hoopwright::sharing::{Fingerprint, Lock, lock};
use serde_json::Value;
use std::sync::LazyLock;

/// Locks, by their schema.
pub const SUBJECT: Subject = Subject {
    name: "lock",
    make: any,
    wrongs,
    seeds: &[],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(lock::schema);

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut lock = Maker::new(&SCHEMA).value(bytes)?;
    for step in json::list(&mut lock, "steps").into_iter().flatten() {
        if let Some(sum) = step.get_mut("sha256")
            && !once_in(bytes, 16)?
        {
            *sum = Value::String(Fingerprint::of(&bytes.arbitrary::<[u8; 2]>()?).to_string());
        }
    }
    if let Some(steps) = json::list(&mut lock, "steps")
        && !once_in(bytes, 6)?
    {
        steps.sort_by_key(|step| step["step"].as_str().map(str::to_owned));
        steps.dedup_by_key(|step| step["step"].as_str().map(str::to_owned));
    }
    json::file(&lock, bytes)
}

/// A lock that is read comes back as it was, does not differ from itself, and tells what differs from an
/// empty one; one that is refused is refused with a reason.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let lock = match Lock::parse(text) {
        Ok(lock) => lock,
        Err(why) => return told::reason(&why),
    };
    let mut wrongs = Vec::new();
    let written = String::from_utf8(lock.to_bytes()).unwrap_or_default();
    match Lock::parse(&written) {
        Ok(again) if again == lock && again.to_bytes() == written.as_bytes() => {}
        other => wrongs.push(format!("it comes back as {other:?}")),
    }
    if !lock.differences(&lock).is_empty() {
        wrongs.push("it differs from itself".to_owned());
    }
    let empty = Lock {
        form: lock.form,
        steps: Vec::new(),
    };
    for differences in [lock.differences(&empty), empty.differences(&lock)] {
        if differences.len() != lock.steps.len() {
            wrongs.push(format!(
                "{} differences of {} steps",
                differences.len(),
                lock.steps.len()
            ));
        }
        wrongs.extend(
            differences
                .iter()
                .flat_map(|(_, words)| told::reason(words)),
        );
    }
    wrongs
}
