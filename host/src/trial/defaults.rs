//! Defaults that a step's own rules refuse: leaving such a setting out does what writing it out may not.

use super::each_default::{Default, each_default};
use crate::diagnostics::Diagnostic;
use crate::json::{Document, misfits};
use serde_json::{Value, json};
use std::path::Path;

/// A warning for each default in the schema of a step's settings that its own range or kind refuses. The SDK's
/// `keeps_the_contract` fails for the same ones.
pub fn unfit_defaults(schema: &Value) -> Vec<Diagnostic> {
    let each = each_default(schema).into_iter();
    each.flat_map(|default| of_setting(&default, schema))
        .collect()
}

/// What is wrong with one default, as if its setting were written out with it.
fn of_setting(Default { at, setting, value }: &Default<'_>, root: &Value) -> Vec<Diagnostic> {
    // By itself, but with the definitions that it may refer to.
    let alone = json!({
        "properties": { at: setting },
        "$defs": root.get("$defs").cloned().unwrap_or_else(|| json!({})),
    });
    // A plugin's schema has been compiled before, and what is written here is JSON.
    let Ok(validator) = jsonschema::draft202012::new(&alone) else {
        return Vec::new();
    };
    let Ok(written) = Document::parse(Path::new(""), json!({ at: value }).to_string()) else {
        return Vec::new();
    };
    let found = misfits(&written, "", &alone, &validator, "setting");
    let told = found.into_iter().map(|problem| {
        let words = format!("a default does not fit its own rules: {}", problem.message);
        Diagnostic::warning("unfit-default", words).help(
            "Mend the default or what it has to fit: whoever writes the same value out is refused.",
        )
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(schema: &Value) -> Vec<String> {
        let unfit = unfit_defaults(schema);
        unfit.into_iter().map(|warning| warning.message).collect()
    }

    #[test]
    fn a_default_out_of_its_range_is_told_wherever_it_stands() {
        let far = json!({ "type": "number", "default": 200.0, "minimum": 0, "maximum": 100, "unit": "mm" });
        let near = json!({ "type": "number", "default": 20.0, "minimum": 0, "maximum": 100 });
        let schema = json!({
            "properties": {
                "far": far,
                "near": near,
                "edge": { "$ref": "#/$defs/Edge", "default": { "far": 2 } },
                "way": { "anyOf": [{ "$ref": "#/$defs/Edge" }, { "type": "null" }], "default": null }
            },
            "$defs": { "Edge": { "properties": { "far": far, "near": near } } }
        });
        assert_eq!(
            told(&schema),
            [
                "a default does not fit its own rules: \"far\" is 200, and must be at most 100 mm",
                "a default does not fit its own rules: \"Edge.far\" is 200, and must be at most 100 mm",
            ]
        );
        assert!(told(&json!({ "properties": { "near": near } })).is_empty());
        assert!(told(&json!({})).is_empty());
    }
}
