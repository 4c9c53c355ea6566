//! The shops that are trusted.

use crate::chance::once_in;
use crate::{Subject, json, signed_pack, told, words};
use arbitrary::{Result, Unstructured};
use hoopwright::sharing::Trust;
use serde_json::{Map, json};
use std::path::Path;

/// Trust files.
pub const SUBJECT: Subject = Subject {
    name: "trust",
    make: any,
    wrongs,
    seeds: &[],
};

/// Public keys: one is whole, in one a letter is another, one is no key.
fn key(bytes: &mut Unstructured<'_>) -> Result<String> {
    let mut key = signed_pack::PUBLIC_KEY.to_owned();
    match bytes.int_in_range(0..=5)? {
        0 => key = words::word(bytes)?,
        1 => {
            let at = bytes.choose_index(key.len())?;
            key.replace_range(at..=at, bytes.choose(&["A", "b", "=", "/", " "])?);
        }
        _ => {}
    }
    Ok(key)
}

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut keys = Map::new();
    for _ in 0..bytes.int_in_range(0..=3)? {
        keys.insert(words::word(bytes)?, key(bytes)?.into());
    }
    let form = if once_in(bytes, 10)? {
        json::any(bytes, 0)?
    } else {
        1.into()
    };
    json::file(&json!({ "form": form, "keys": keys }), bytes)
}

/// A trust file that is read is written as one that says the same; one that is refused is refused with a
/// reason, and nobody is trusted.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(folder) = tempfile::tempdir() else {
        return vec!["no folder could be made".to_owned()];
    };
    let path = folder.path().join("trust.json");
    if std::fs::write(&path, file).is_err() {
        return vec!["the file could not be written".to_owned()];
    }
    let text = String::from_utf8_lossy(file);
    let told_by = |trust: &Trust| -> Vec<(String, String)> {
        trust
            .keys()
            .map(|(name, key)| (name.to_owned(), key.to_string()))
            .collect()
    };
    let trust = match Trust::read(&path) {
        Ok(trust) => trust,
        Err(problem) => return told::refusal(&problem.into(), Path::new(""), &text),
    };
    let mut wrongs = Vec::new();
    match trust.write().and_then(|()| Trust::read(&path)) {
        Ok(again) if told_by(&again) == told_by(&trust) => {}
        Ok(_) => wrongs.push("it comes back as another".to_owned()),
        Err(problem) => wrongs.push(format!("it does not come back: {problem:?}")),
    }
    for (name, _) in told_by(&trust) {
        if name.chars().any(char::is_control) {
            wrongs.push(format!("a name with control characters: {name:?}"));
        }
    }
    wrongs
}
