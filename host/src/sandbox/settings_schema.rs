//! The schema that a plugin gives for its settings. It is a stranger's, and settings are held against
//! it outside the sandbox: so it may only be such that this ends, and soon.
//!
//! What a schema costs is how often its parts are looked at. A part may be referred to from many
//! places, so it is counted as often as it would stand there if every reference were written out.

use super::session::harmless;
use jsonschema::error::ValidationErrorKind;
use jsonschema::{PatternOptions, Validator};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// The largest schema, in KiB of text. The richest stock step needs about 20.
pub const SCHEMA_KIB: usize = 256;
/// The most parts of a schema, each counted as often as it is referred to. The richest stock step has
/// about 200.
pub const PARTS: u64 = 4_000;
/// How deep parts may lie in each other, references written out: whoever reads them calls itself once
/// for each.
pub const DEPTH: usize = 200;
/// The most that parts and values of a step's settings may be when multiplied.
pub const LOOKS: u64 = 4_000_000;
/// How large a pattern may become when it is compiled, in KiB.
const PATTERN_KIB: usize = 128;
/// So many bytes of text in a setting count as one value more.
const TEXT_BYTES: u64 = 16;

/// A schema that may be used.
pub(super) struct SettingsSchema {
    /// As the plugin gave it.
    pub value: Value,
    /// Checks settings.
    pub validator: Validator,
    /// What it is made of.
    pub parts: Parts,
}

/// The parts of a schema, each counted as often as it is referred to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Parts(u64);

type Refusal = (String, String);

impl SettingsSchema {
    /// Reads a schema. Nothing is ever fetched for it.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it, and one that says what to do.
    pub(super) fn read(text: &str) -> Result<Self, Refusal> {
        let refuse = |why: String| {
            let help = "Define the settings with the SDK's settings! macro.";
            (format!("its settings schema {why}"), help.to_owned())
        };
        if text.len() > SCHEMA_KIB << 10 {
            return Err(refuse(format!(
                "is {} KiB large, and the limit is {SCHEMA_KIB} KiB",
                text.len() >> 10
            )));
        }
        let value: Value = serde_json::from_str(text)
            .map_err(|error| refuse(format!("cannot be read as JSON: {error}")))?;
        if value.get("type").and_then(Value::as_str) != Some("object") {
            return Err(refuse("is not that of an object".to_owned()));
        }
        let parts = Count::of(&value).map_err(&refuse)?;
        if parts > PARTS {
            return Err(refuse(format!(
                "has more than {PARTS} parts when its references are written out"
            )));
        }
        // Patterns of this engine take time in proportion to the text, never more.
        let patterns = PatternOptions::regex().size_limit(PATTERN_KIB << 10);
        let validator = jsonschema::options()
            .with_draft(jsonschema::Draft::Draft202012)
            .with_pattern_options(patterns)
            .build(&value)
            .map_err(|error| refuse(format!("cannot be used: {}", told(&error))))?;
        Ok(Self {
            value,
            validator,
            parts: Parts(parts),
        })
    }
}

impl Parts {
    /// Whether holding these settings against them takes too long: then a sentence about them.
    pub fn too_large(self, settings: &Value) -> Option<String> {
        let values = values(settings);
        (self.0.saturating_mul(values) > LOOKS).then(|| {
            format!(
                "these settings are too large for this step: they hold about {values} values, and \
                 it can take {}",
                LOOKS / self.0.max(1)
            )
        })
    }
}

/// What is wrong with a schema, without the schema itself.
fn told(error: &jsonschema::ValidationError<'_>) -> String {
    let mut words = match error.kind() {
        ValidationErrorKind::Format { format } if format == "regex" => format!(
            "it has the pattern {}, which looks ahead or back, is too large or not a pattern",
            error.instance()
        ),
        _ => error.to_string(),
    };
    if let Some((end, _)) = words.char_indices().nth(300) {
        words.truncate(end);
        words.push('…');
    }
    harmless(&words)
}

/// How many values there are, long texts counting as several.
fn values(value: &Value) -> u64 {
    match value {
        Value::Array(items) => 1 + items.iter().map(values).sum::<u64>(),
        Value::Object(fields) => {
            let each =
                |(name, value): (&String, &Value)| name.len() as u64 / TEXT_BYTES + values(value);
            1 + fields.iter().map(each).sum::<u64>()
        }
        Value::String(text) => 1 + text.len() as u64 / TEXT_BYTES,
        _ => 1,
    }
}

/// Keywords whose values are data of the schema's own, not schemas.
const DATA: [&str; 5] = ["const", "default", "enum", "examples", "required"];
/// Keywords that hold schemas by names which are not keywords.
const NAMED: [&str; 5] = [
    "$defs",
    "definitions",
    "dependentSchemas",
    "patternProperties",
    "properties",
];
/// Keywords under which a reference would not be seen for what it is.
const UNREAD: [&str; 3] = ["$dynamicRef", "$recursiveRef", "$anchor"];

/// Counts the parts of a schema.
struct Count<'a> {
    root: &'a Value,
    /// What lies behind references: nothing while it is being counted.
    known: BTreeMap<&'a str, Option<u64>>,
    depth: usize,
}

impl<'a> Count<'a> {
    fn of(root: &'a Value) -> Result<u64, String> {
        let mut count = Self {
            root,
            known: BTreeMap::from([("#", None)]),
            depth: 0,
        };
        count.part(root)
    }

    /// A schema, or what holds schemas.
    fn part(&mut self, part: &'a Value) -> Result<u64, String> {
        self.depth += 1;
        if self.depth > DEPTH {
            return Err(format!("lies more than {DEPTH} parts deep"));
        }
        let parts = match part {
            Value::Object(fields) => self.fields(fields),
            Value::Array(parts) => self.sum(parts.iter()),
            _ => Ok(1),
        };
        self.depth -= 1;
        parts
    }

    fn fields(&mut self, fields: &'a Map<String, Value>) -> Result<u64, String> {
        let mut sum: u64 = 1;
        for (name, value) in fields {
            let more = match (name.as_str(), value) {
                ("$ref", Value::String(target)) => self.behind(target)?,
                ("$defs" | "definitions", Value::Object(parts)) => {
                    // They cost where they are referred to; here they are only to be sound.
                    self.sum(parts.values())?.min(1)
                }
                (name, Value::Object(parts)) if NAMED.contains(&name) => {
                    self.sum(parts.values())?
                }
                (name, _) if DATA.contains(&name) => 0,
                (name, _) if UNREAD.contains(&name) => {
                    return Err(format!(
                        "uses {name}, which is not read; refer by \"$ref\" only"
                    ));
                }
                // The root's own name is never looked up.
                ("$id", _) if !std::ptr::eq(fields, self.root_fields()) => {
                    return Err("has a \"$id\" inside; refer by \"$ref\" only".to_owned());
                }
                (_, value @ (Value::Object(_) | Value::Array(_))) => self.part(value)?,
                _ => 1,
            };
            sum = sum.saturating_add(more);
        }
        Ok(sum)
    }

    fn root_fields(&self) -> *const Map<String, Value> {
        self.root
            .as_object()
            .map_or(std::ptr::null(), std::ptr::from_ref)
    }

    fn sum(&mut self, parts: impl Iterator<Item = &'a Value>) -> Result<u64, String> {
        let mut sum: u64 = 0;
        for part in parts {
            sum = sum.saturating_add(self.part(part)?);
        }
        Ok(sum)
    }

    /// What a reference leads to, counted once and told as often as it is asked for.
    fn behind(&mut self, target: &'a str) -> Result<u64, String> {
        let name = target.escape_debug();
        match self.known.get(target) {
            Some(Some(parts)) => return Ok(*parts),
            Some(None) => return Err(format!("refers to itself at \"{name}\"")),
            None => {}
        }
        let pointer = target.strip_prefix('#').ok_or_else(|| {
            format!("refers to \"{name}\"; it must hold all that it needs, and nothing is fetched")
        })?;
        let part = self
            .root
            .pointer(pointer)
            .ok_or_else(|| format!("refers to \"{name}\", which it does not hold"))?;
        self.known.insert(target, None);
        let parts = self.part(part)?;
        self.known.insert(target, Some(parts));
        Ok(parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn parts(schema: &Value) -> Result<u64, String> {
        Count::of(schema)
    }

    #[test]
    fn a_part_counts_as_often_as_it_is_referred_to() {
        let twice = |n: usize| json!({ "allOf": [{ "$ref": format!("#/$defs/a{n}") }, { "$ref": format!("#/$defs/a{n}") }] });
        let mut defs = Map::new();
        for n in 0..40 {
            defs.insert(format!("a{n}"), twice(n + 1));
        }
        defs.insert("a40".to_owned(), json!({ "type": "number" }));
        let schema = json!({ "type": "object", "properties": { "x": { "$ref": "#/$defs/a0" } }, "$defs": defs });
        assert!(parts(&schema).expect("sound") > 1 << 40);
    }

    #[test]
    fn what_refers_to_itself_is_told() {
        for (schema, at) in [
            (json!({ "$ref": "#" }), "#"),
            (json!({ "properties": { "x": { "$ref": "#" } } }), "#"),
            (
                json!({ "$ref": "#/$defs/a", "$defs": { "a": { "anyOf": [{ "$ref": "#/$defs/b" }] }, "b": { "not": { "$ref": "#/$defs/a" } } } }),
                "#/$defs/b",
            ),
        ] {
            assert_eq!(parts(&schema), Err(format!("refers to itself at \"{at}\"")));
        }
    }

    #[test]
    fn a_long_chain_is_too_deep() {
        let chain = |links: usize| {
            let link = |i: usize| json!({ "$ref": format!("#/$defs/a{}", i + 1) });
            let mut defs: Map<String, Value> =
                (0..links).map(|i| (format!("a{i}"), link(i))).collect();
            defs.insert(format!("a{links}"), json!({ "type": "number" }));
            json!({ "$ref": "#/$defs/a0", "$defs": defs })
        };
        assert!(parts(&chain(100)).is_ok());
        assert_eq!(
            parts(&chain(5_000)),
            Err("lies more than 200 parts deep".to_owned())
        );
    }

    #[test]
    fn a_setting_may_have_a_keyword_s_name_and_data_may_look_like_a_schema() {
        let schema = json!({
            "type": "object",
            "properties": {
                "$ref": { "type": "string", "default": "x" },
                "$anchor": { "const": { "$ref": "https://example.org" } },
            },
        });
        assert!(parts(&schema).is_ok());
    }

    #[test]
    fn long_texts_are_several_values() {
        assert_eq!(values(&json!([1, "a", {"b": null}])), 5);
        assert_eq!(values(&json!("x".repeat(160))), 11);
    }
}
