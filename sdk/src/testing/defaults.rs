//! The defaults in the schema of a step's settings. The host looks through them with this same file.

use serde_json::Value;

/// A setting that has a default.
pub struct Default<'s> {
    /// The setting's name, after that of the group that it stands in.
    pub at: String,
    /// The setting's own schema.
    pub setting: &'s Value,
    /// Its default.
    pub value: &'s Value,
}

/// Each default in `schema` and its definitions.
pub fn each_default(schema: &Value) -> Vec<Default<'_>> {
    let mut all = Vec::new();
    gather(schema, "", &mut all);
    for (name, part) in schema["$defs"].as_object().into_iter().flatten() {
        gather(part, name, &mut all);
    }
    all
}

fn gather<'s>(part: &'s Value, at: &str, all: &mut Vec<Default<'s>>) {
    for (name, setting) in part["properties"].as_object().into_iter().flatten() {
        let at = if at.is_empty() {
            name.clone()
        } else {
            format!("{at}.{name}")
        };
        if let Some(value) = setting.get("default") {
            let at = at.clone();
            all.push(Default { at, setting, value });
        }
        gather(setting, &at, all);
    }
}
