//! A part: steps in a file of their own, which pipelines include with settings.

use super::file::Entry;
use super::fill::taken_name;
use super::selection::EMPTY_RANGE;
use crate::diagnostics::Diagnostic;
use crate::json::{Document, misfits};
use jsonschema::Validator;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Steps that several pipelines share, with settings of their own.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Part {
    /// Where the schema of parts stands, so that an editor can complete and check this file.
    #[serde(rename = "$schema", default, skip_serializing_if = "String::is_empty")]
    pub schema: String,
    /// What this part is for.
    #[serde(default)]
    pub title: String,
    /// The settings that it takes, by name. Its steps use one with `{ "taken": "<name>" }` in the
    /// place of a value, in `settings` and in `on`.
    #[serde(default)]
    pub takes: BTreeMap<String, PartSetting>,
    /// The steps, from first to last; parts may stand among them.
    pub steps: Vec<Entry>,
}

/// A setting that a part takes, in the words of JSON Schema.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(rename = "Taken")]
pub struct PartSetting {
    /// What its value is.
    #[serde(rename = "type")]
    pub kind: ValueKind,
    /// What it does, for whoever sets it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub description: String,
    /// The unit of a number, such as "mm".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    /// The value where none is given. Without a default it must be given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub default: Option<Value>,
    /// The least value of a number.
    #[schemars(with = "f64")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum: Option<f64>,
    /// The greatest value of a number.
    #[schemars(with = "f64")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maximum: Option<f64>,
    /// All the values that may be given.
    #[schemars(with = "Vec<Value>")]
    #[serde(rename = "enum", default, skip_serializing_if = "Option::is_none")]
    pub choices: Option<Vec<Value>>,
}

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ValueKind {
    /// A number, such as 0.4.
    Number,
    /// A whole number.
    Integer,
    /// A text, also one of several words.
    String,
    /// True or false.
    Boolean,
}

/// What the part in a file takes.
pub(super) struct Takes {
    /// The schema of all settings together.
    pub schema: Value,
    /// Checks settings against it, where that can be.
    pub validator: Option<Validator>,
    /// What is wrong with the file's own words about them.
    pub problems: Vec<Diagnostic>,
}

impl Takes {
    /// What the part in `document` says that it takes. Of what cannot be used, anything is taken.
    pub fn of(document: &Document) -> Self {
        let mut problems = Vec::new();
        let mut properties = Map::new();
        let mut required = Vec::new();
        for (name, schema) in entries(document) {
            let pointer = format!("/takes/{}", crate::json::escape(name));
            let schema = match validator(schema) {
                Some(validator) => {
                    problems.extend(own_problems(document, &pointer, schema, &validator));
                    schema.clone()
                }
                // The file's own schema tells why.
                None => match schema.get("default") {
                    Some(default) => json!({"default": default}),
                    None => json!({}),
                },
            };
            if schema.get("default").is_none() {
                required.push(name.clone());
            }
            properties.insert(name.clone(), schema);
        }
        let schema = json!({
            "type": "object",
            "properties": properties,
            "required": required,
            "additionalProperties": false,
        });
        Self {
            validator: validator(&schema),
            schema,
            problems,
        }
    }

    /// The schema of one setting.
    pub fn setting(&self, name: &str) -> Option<&Value> {
        self.schema.get("properties")?.get(name)
    }

    /// The names of all settings.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let properties = self.schema.get("properties").and_then(Value::as_object);
        properties.into_iter().flatten().map(|(name, _)| &**name)
    }

    /// Whether the setting `name` may have this value.
    pub fn allows(&self, name: &str, value: &Value) -> bool {
        self.setting(name)
            .and_then(validator)
            .is_some_and(|validator| validator.is_valid(value))
    }

    /// Settings that no step uses.
    pub fn unused(&self, document: &Document, used: &BTreeSet<String>) -> Vec<Diagnostic> {
        self.names()
            .filter(|name| !used.contains(*name))
            .map(|name| {
                let pointer = format!("/takes/{}", crate::json::escape(name));
                let unused = Diagnostic::error(
                    "unused-name",
                    format!("the part takes \"{name}\", and none of its steps uses it"),
                )
                .help(format!(
                    "Put {{ \"taken\": \"{name}\" }} in the place of a value, or take it out here."
                ));
                document.point(unused, document.key_range(&pointer))
            })
            .collect()
    }
}

fn entries(document: &Document) -> impl Iterator<Item = (&String, &Value)> {
    let takes = document.value.get("takes").and_then(Value::as_object);
    takes.into_iter().flatten()
}

fn validator(schema: &Value) -> Option<Validator> {
    jsonschema::draft202012::new(schema).ok()
}

/// What is wrong with the words about one setting, and no schema tells.
fn own_problems(
    document: &Document,
    pointer: &str,
    schema: &Value,
    validator: &Validator,
) -> Vec<Diagnostic> {
    let bound = |name: &str| schema.get(name).and_then(Value::as_f64);
    if let (Some(least), Some(greatest)) = (bound("minimum"), bound("maximum"))
        && least > greatest
    {
        let wrong = Diagnostic::error(
            EMPTY_RANGE,
            format!("nothing is at least {least} and at most {greatest}"),
        );
        return vec![document.point(wrong, document.value_range(&format!("{pointer}/minimum")))];
    }
    let default = format!("{pointer}/default");
    if document
        .value
        .pointer(&default)
        .and_then(taken_name)
        .is_some()
    {
        let wrong = Diagnostic::error("misfit", "a default is a value of its own");
        return vec![document.point(wrong, document.value_range(&default))];
    }
    misfits(document, &default, schema, validator, "setting")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn takes(text: &str) -> (Document, Takes) {
        let text = format!("{{\"takes\": {text}}}");
        let document = Document::parse(Path::new("part.json"), text).expect("JSON");
        let takes = Takes::of(&document);
        (document, takes)
    }

    #[test]
    fn a_setting_without_a_default_must_be_given_and_a_strange_one_must_not() {
        let (_, takes) = takes(
            r#"{"angle": {"type": "number"}, "look": {"type": "string", "enum": ["edge"], "default": "edge"}}"#,
        );
        let fits = |settings: Value| takes.validator.as_ref().expect("sound").is_valid(&settings);
        assert!(fits(json!({"angle": 45})) && fits(json!({"angle": 45, "look": "edge"})));
        for wrong in [
            json!({}),
            json!({"angle": "45"}),
            json!({"angle": 45, "look": "none"}),
            json!({"angle": 45, "angel": 45}),
        ] {
            assert!(!fits(wrong.clone()), "{wrong}");
        }
        assert!(takes.problems.is_empty(), "{:?}", takes.problems);
        assert!(takes.allows("angle", &json!(45)) && !takes.allows("angel", &json!(45)));
    }

    #[test]
    fn defaults_and_ranges_are_held_to_their_own_words() {
        for (setting, code, pointed_at) in [
            (
                r#"{"type": "number", "maximum": 1, "default": 2}"#,
                "out-of-range",
                "2",
            ),
            (
                r#"{"type": "integer", "default": 0.5}"#,
                "wrong-type",
                "0.5",
            ),
            (
                r#"{"type": "string", "enum": ["a"], "default": "b"}"#,
                "unknown-choice",
                "\"b\"",
            ),
            (
                r#"{"type": "number", "minimum": 3, "maximum": 1}"#,
                EMPTY_RANGE,
                "3",
            ),
            (
                r#"{"type": "number", "default": {"taken": "it"}}"#,
                "misfit",
                r#"{"taken": "it"}"#,
            ),
        ] {
            let (document, takes) = takes(&format!("{{\"it\": {setting}}}"));
            let [problem] = &takes.problems[..] else {
                panic!("{setting}: {:?}", takes.problems);
            };
            assert_eq!(problem.code, code, "{setting}");
            let range = problem.range.clone().expect("a place");
            assert_eq!(&document.text[range], pointed_at, "{setting}");
        }
    }
}
