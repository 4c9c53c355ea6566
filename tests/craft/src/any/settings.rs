//! Settings made of any bytes, by the schema that the step itself gives: a setting that is added
//! later is tried too.

use crate::runs::Step;
use arbitrary::{Result, Unstructured};
use hoopwright_region_fill::RegionFill;
use hoopwright_satin_column::SatinColumn;
use hoopwright_sdk::describe;
use serde_json::{Map, Value, json};
use std::sync::OnceLock;

fn schema(step: Step) -> &'static Value {
    static FILL: OnceLock<Value> = OnceLock::new();
    static SATIN: OnceLock<Value> = OnceLock::new();
    let (place, text): (_, fn() -> String) = match step {
        Step::RegionFill => (&FILL, || {
            describe::<RegionFill>("", "", "", "").settings_schema
        }),
        Step::SatinColumn => (&SATIN, || {
            describe::<SatinColumn>("", "", "", "").settings_schema
        }),
    };
    place.get_or_init(|| serde_json::from_str(&text()).unwrap_or_default())
}

/// Settings within their ranges; half of them are left out.
pub fn any(step: Step, bytes: &mut Unstructured) -> Result<Value> {
    let schema = schema(step);
    let mut settings = Map::new();
    let properties = schema["properties"].as_object();
    for (name, property) in properties.into_iter().flatten() {
        if bytes.arbitrary()?
            && let Some(value) = value(schema, property, bytes)?
        {
            settings.insert(name.clone(), value);
        }
    }
    Ok(Value::Object(settings))
}

fn value(schema: &Value, property: &Value, bytes: &mut Unstructured) -> Result<Option<Value>> {
    let property = resolved(schema, property);
    let words: Vec<&Value> = words(property).collect();
    if !words.is_empty() {
        return Ok(Some((*bytes.choose(&words)?).clone()));
    }
    let kind = match &property["type"] {
        // Of a setting that may be absent, the kind that is not "null".
        Value::Array(kinds) => kinds.first().and_then(Value::as_str),
        kind => kind.as_str(),
    };
    let bound = |name: &str, otherwise: f64| property[name].as_f64().unwrap_or(otherwise);
    let (least, greatest) = (bound("minimum", 0.0), bound("maximum", 20.0));
    Ok(match kind {
        Some("boolean") => Some(json!(bytes.arbitrary::<bool>()?)),
        Some("integer") => Some(json!(bytes.int_in_range(least as u64..=greatest as u64)?)),
        Some("number") => {
            let share = f64::from(bytes.arbitrary::<u8>()?) / 255.0;
            Some(json!(least + share * (greatest - least)))
        }
        _ => None,
    })
}

/// The words of a setting that is one of several.
fn words(property: &Value) -> impl Iterator<Item = &Value> {
    let several = property["oneOf"].as_array().into_iter().flatten();
    let plain = property["enum"].as_array().into_iter().flatten();
    several
        .flat_map(|one| {
            one.get("const")
                .into_iter()
                .chain(one["enum"].as_array().into_iter().flatten())
        })
        .chain(plain)
}

/// Follows a reference to the schema's definitions.
fn resolved<'a>(schema: &'a Value, property: &'a Value) -> &'a Value {
    let reference = property["$ref"].as_str();
    let pointer = reference.and_then(|reference| reference.strip_prefix('#'));
    pointer
        .and_then(|pointer| schema.pointer(pointer))
        .unwrap_or(property)
}
