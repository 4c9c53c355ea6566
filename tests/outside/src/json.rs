//! JSON as text: written in several ways, and damaged as hands do it.

use crate::chance::once_in;
use crate::{damage, numbers, words};
use arbitrary::{Result, Unstructured};
use serde_json::Value;

/// The value as a file: laid out in one of several ways, seldom with something in it that another JSON
/// reader may take or a hand may write, seldom damaged.
pub fn file(value: &Value, bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut text = if bytes.arbitrary()? {
        value.to_string()
    } else {
        format!("{value:#}\n")
    };
    if once_in(bytes, 8)? {
        text = slip(&text, bytes)?;
    }
    damage::seldom(text.into_bytes(), bytes)
}

/// A text with a slip in it.
fn slip(text: &str, bytes: &mut Unstructured<'_>) -> Result<String> {
    let ends: Vec<usize> = text
        .match_indices([',', '}', ']', ':'])
        .map(|(at, _)| at)
        .collect();
    if ends.is_empty() {
        return Ok(text.to_owned());
    }
    let at = *bytes.choose(&ends)?;
    let (before, after) = text.split_at(at);
    let slip = match bytes.int_in_range(0..=8)? {
        0 => ",".to_owned(),
        1 => "// owl\n".to_owned(),
        2 => " \"\\ud800\"".to_owned(),
        3 => format!(
            ",\"{}\":{}",
            bytes.choose(&["steps", "x", "form", "a/b~c", "a\\u001b"])?,
            numbers::odd(bytes)?
        ),
        4 => numbers::odd(bytes)?,
        5 => "[".repeat(bytes.int_in_range(1..=300)?),
        6 => "\u{feff}".to_owned(),
        7 => "\r\n\t".to_owned(),
        _ => format!("'{}'", words::word(bytes)?),
    };
    Ok(format!("{before}{slip}{after}"))
}

/// Any value, of no schema.
pub fn any(bytes: &mut Unstructured<'_>, depth: usize) -> Result<Value> {
    let most = if depth > 3 { 4 } else { 6 };
    Ok(match bytes.int_in_range(0..=most)? {
        0 => Value::Null,
        1 => Value::Bool(bytes.arbitrary()?),
        2 => number(&numbers::odd(bytes)?),
        3 => Value::from(numbers::usual(bytes)?),
        4 => Value::String(words::word(bytes)?),
        5 => {
            let mut list = Vec::new();
            for _ in 0..bytes.int_in_range(0..=3)? {
                list.push(any(bytes, depth + 1)?);
            }
            Value::Array(list)
        }
        _ => {
            let mut object = serde_json::Map::new();
            for _ in 0..bytes.int_in_range(0..=3)? {
                object.insert(words::word(bytes)?, any(bytes, depth + 1)?);
            }
            Value::Object(object)
        }
    })
}

/// The list that an object has under this name, where it has one.
pub fn list<'a>(value: &'a mut Value, name: &str) -> Option<&'a mut Vec<Value>> {
    value.get_mut(name)?.as_array_mut()
}

/// The number that the text is, or the text where it is none.
pub fn number(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|_| Value::String(text.to_owned()))
}
