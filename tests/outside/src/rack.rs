//! The shop's threads, as JSON and as a table.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::{Subject, damage, json, numbers, told, words};
use arbitrary::{Result, Unstructured};
use hoopwright::rack::{self, Colour, Rack};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

/// Racks: what begins with a brace is JSON, all else a table.
pub const SUBJECT: Subject = Subject {
    name: "rack",
    make: any,
    wrongs,
    seeds: &[
        "demo-pipelines/thread-rack.json",
        "demo-pipelines/rescue-threads.csv",
    ],
};

static SCHEMA: LazyLock<Value> = LazyLock::new(rack::schema);

const COLOURS: [&str; 12] = [
    "#5a4632",
    "tan",
    "#fff",
    "rgb(1,2,3)",
    "hsl(20,30%,40%)",
    "#12345678",
    "rgba(0,0,0,0)",
    "no colour",
    "#ggg",
    "transparent",
    "lab(50 1e400 0)",
    "color-mix(in srgb, red, blue)",
];

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    if bytes.arbitrary()? {
        as_json(bytes)
    } else {
        as_table(bytes)
    }
}

fn as_json(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut rack = Maker::new(&SCHEMA).value(bytes)?;
    for thread in json::list(&mut rack, "threads").into_iter().flatten() {
        if let Some(colour) = thread.get_mut("colour")
            && !once_in(bytes, 12)?
        {
            *colour = Value::from(*bytes.choose(&COLOURS)?);
        }
    }
    json::file(&rack, bytes)
}

fn as_table(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut text = String::new();
    if once_in(bytes, 8)? {
        text.push('\u{feff}');
    }
    let parted = *bytes.choose(&[",", ";", ",", "\t"])?;
    let end = *bytes.choose(&["\n", "\r\n", "\r"])?;
    let mut columns = vec!["code", "name", "colour"];
    if bytes.arbitrary()? {
        columns.push("weight");
    }
    if once_in(bytes, 10)? {
        columns.push(bytes.choose(&["color", "code", " Name ", "", "weight"])?);
    }
    let first = bytes.choose_index(columns.len())?;
    columns.rotate_left(first);
    text += &(columns.join(parted) + end);
    for _ in 0..bytes.int_in_range(0..=6)? {
        let mut fields = Vec::new();
        for column in &columns {
            let field = match *column {
                "colour" => (*bytes.choose(&COLOURS)?).to_owned(),
                "weight" => numbers::number_or_not(bytes)?,
                _ => format!("{}{}", words::word(bytes)?, bytes.int_in_range(0..=99)?),
            };
            fields.push(quoted(&field, bytes)?);
        }
        if once_in(bytes, 16)? {
            fields.pop();
        }
        text += &(fields.join(parted) + end);
    }
    damage::seldom(text.into_bytes(), bytes)
}

/// In quotes where it must be, and sometimes where it need not.
fn quoted(field: &str, bytes: &mut Unstructured<'_>) -> Result<String> {
    let must = field.contains([',', ';', '"', '\n', '\r', '\t']);
    Ok(if must || once_in(bytes, 6)? {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    })
}

/// A rack that is read has threads with colours, each with a code of its own, and comes back as it was;
/// one that is refused is refused with line and column.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let path = Path::new(if text.trim_start().starts_with('{') {
        "rack.json"
    } else {
        "rack.csv"
    });
    let rack = match rack::read(path, text.to_owned()) {
        Ok(rack) => rack,
        Err(failed) => return told::placed_refusal(&failed, path, text),
    };
    let mut wrongs = wrongs_of(&rack);
    match serde_json::to_string(&rack).map(|written| rack::read(Path::new("rack.json"), written)) {
        Ok(Ok(again)) if again == rack => {}
        other => wrongs.push(format!("it comes back as {other:?}")),
    }
    wrongs
}

fn wrongs_of(rack: &Rack) -> Vec<String> {
    let mut wrongs = Vec::new();
    if rack.threads.is_empty() {
        wrongs.push("a rack without threads".to_owned());
    }
    let mut codes = BTreeSet::new();
    for thread in &rack.threads {
        if !thread.code.is_empty() && !codes.insert(&thread.code) {
            wrongs.push(format!("two threads with the code {:?}", thread.code));
        }
        if Colour::parse(&thread.colour).is_none() || !(8..=150).contains(&thread.weight) {
            wrongs.push(format!("a thread that is none: {thread:?}"));
        }
    }
    wrongs
}
