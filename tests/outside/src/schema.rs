//! Values that mostly fit a JSON Schema: an entry that a file gains later is tried too.

use crate::chance::once_in;
use crate::{json, numbers, words};
use arbitrary::{Result, Unstructured};
use serde_json::{Map, Value};

/// How far a schema is followed into itself.
const DEEPEST: usize = 7;

/// Makes values by the schema that stands at `root`.
pub struct Maker<'a> {
    root: &'a Value,
    /// A value breaks the schema once in so many times; 0 for never.
    slips: u8,
}

impl<'a> Maker<'a> {
    /// Values that break the schema once in some sixty times, each of their parts.
    pub fn new(root: &'a Value) -> Self {
        Self { root, slips: 60 }
    }

    /// Values that keep to the schema, as far as is told here.
    pub fn without_slips(root: &'a Value) -> Self {
        Self { root, slips: 0 }
    }

    /// A value of the whole schema.
    pub fn value(&self, bytes: &mut Unstructured<'_>) -> Result<Value> {
        self.of(self.root, bytes, 0)
    }

    /// A value of the schema's definition `name`.
    pub fn definition(&self, name: &str, bytes: &mut Unstructured<'_>) -> Result<Value> {
        self.of(&self.root["$defs"][name], bytes, 1)
    }

    fn slips(&self, bytes: &mut Unstructured<'_>) -> Result<bool> {
        if self.slips == 0 {
            Ok(false)
        } else {
            once_in(bytes, self.slips)
        }
    }

    fn of(&self, schema: &Value, bytes: &mut Unstructured<'_>, depth: usize) -> Result<Value> {
        if self.slips(bytes)? {
            return json::any(bytes, depth);
        }
        let simplest = || schema.get("default").cloned().unwrap_or(Value::Null);
        if depth > DEEPEST {
            return Ok(simplest());
        }
        let target = schema["$ref"].as_str();
        if let Some(target) = target.and_then(|to| self.root.pointer(to.strip_prefix('#')?)) {
            return self.of(target, bytes, depth + 1);
        }
        if let Some(only) = schema.get("const") {
            return Ok(only.clone());
        }
        if let Some(all) = schema["enum"].as_array().filter(|all| !all.is_empty()) {
            return Ok(bytes.choose(all)?.clone());
        }
        for several in ["oneOf", "anyOf"] {
            if let Some(all) = schema[several].as_array().filter(|all| !all.is_empty()) {
                return self.of(bytes.choose(all)?, bytes, depth + 1);
            }
        }
        // Of the two ways of an "if", any; and of a profile that may be a path.
        if schema.get("if").is_some() {
            let ways: Vec<&Value> = ["then", "else"]
                .iter()
                .filter_map(|way| schema.get(*way))
                .collect();
            if !ways.is_empty() {
                return self.of(bytes.choose(&ways)?, bytes, depth + 1);
            }
        }
        let sort = match &schema["type"] {
            Value::Array(several) if !several.is_empty() => bytes.choose(several)?.as_str(),
            one => one.as_str(),
        };
        Ok(match sort {
            Some("boolean") => Value::Bool(bytes.arbitrary()?),
            Some("number") => self.number(schema, bytes)?,
            Some("integer") => whole(&self.number(schema, bytes)?),
            Some("string") => Value::String(words::word(bytes)?),
            Some("array") => self.list(schema, bytes, depth)?,
            Some("object") => self.object(schema, bytes, depth)?,
            _ => simplest(),
        })
    }

    fn number(&self, schema: &Value, bytes: &mut Unstructured<'_>) -> Result<Value> {
        if self.slips(bytes)? {
            return Ok(json::number(&numbers::odd(bytes)?));
        }
        let bound = |name: &str, otherwise: f64| schema[name].as_f64().unwrap_or(otherwise);
        let least = bound("minimum", bound("exclusiveMinimum", -50.0));
        let greatest = bound("maximum", bound("exclusiveMaximum", 150.0)).max(least);
        let share = match bytes.int_in_range(0..=9)? {
            0 => 0.0,
            1 => 1.0,
            _ => f64::from(bytes.arbitrary::<u16>()?) / 65535.0,
        };
        // Three digits, as people write them.
        let value = ((least + share * (greatest - least)) * 1000.0).round() / 1000.0;
        Ok(Value::from(value.clamp(least, greatest)))
    }

    fn list(&self, schema: &Value, bytes: &mut Unstructured<'_>, depth: usize) -> Result<Value> {
        let count = |name: &str, otherwise| schema[name].as_u64().map_or(otherwise, |n| n as usize);
        let least = count("minItems", 0);
        let most = count("maxItems", least + 4).min(least + 4);
        let mut list = Vec::new();
        for _ in 0..bytes.int_in_range(least..=most.max(least))? {
            list.push(self.of(&schema["items"], bytes, depth + 1)?);
        }
        Ok(Value::Array(list))
    }

    fn object(&self, schema: &Value, bytes: &mut Unstructured<'_>, depth: usize) -> Result<Value> {
        let required: Vec<&str> = schema["required"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect();
        let mut object = Map::new();
        for (name, property) in schema["properties"].as_object().into_iter().flatten() {
            // What is the schema's own "no", such as a name that must not be there.
            if property == &Value::Bool(false) {
                continue;
            }
            let must = required.contains(&name.as_str());
            let given = if must {
                !self.slips(bytes)?
            } else {
                once_in(bytes, 3)?
            };
            if given {
                object.insert(name.clone(), self.of(property, bytes, depth + 1)?);
            }
        }
        let more = schema
            .get("additionalProperties")
            .filter(|more| more.is_object());
        if let Some(more) = more {
            for _ in 0..bytes.int_in_range(0..=3)? {
                object.insert(words::word(bytes)?, self.of(more, bytes, depth + 1)?);
            }
        } else if self.slips(bytes)? {
            object.insert(words::word(bytes)?, json::any(bytes, depth)?);
        }
        Ok(Value::Object(object))
    }
}

/// The number as a whole one, where it is one of usual size.
fn whole(number: &Value) -> Value {
    match number.as_f64() {
        Some(value) if value.abs() < 1e15 => Value::from(value.round() as i64),
        _ => number.clone(),
    }
}
