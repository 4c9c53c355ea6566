use super::*;
use serde_json::json;
use std::path::Path;

/// A group of settings that may be left out, as the SDK's `settings!` gives its schema.
fn schema() -> Value {
    json!({
        "type": "object",
        "properties": {
            "way": { "anyOf": [{ "$ref": "#/$defs/Way" }, { "type": "null" }] },
            "look": { "anyOf": [{ "$ref": "#/$defs/Look" }, { "type": "null" }] },
            "either": { "anyOf": [{ "type": "number" }, { "type": "boolean" }, { "type": "null" }] }
        },
        "$defs": {
            "Way": {
                "type": "object",
                "properties": {
                    "far": { "type": "number", "minimum": 0, "maximum": 100, "unit": "mm" },
                    "inner": { "anyOf": [{ "$ref": "#/$defs/Way" }, { "type": "null" }] }
                },
                "additionalProperties": false
            },
            "Look": { "oneOf": [{ "const": "edge" }, { "const": "middle" }] }
        }
    })
}

fn told(settings: &str) -> Vec<(&'static str, String, Option<String>)> {
    let schema = schema();
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let document = Document::parse(Path::new("a.json"), settings.to_owned()).expect("JSON");
    let found = misfits(&document, "", &schema, &validator, "setting");
    let told = found.into_iter().map(|one| {
        let range = one.range.expect("a place");
        (one.code, document.text[range].to_owned(), one.help)
    });
    told.collect()
}

#[test]
fn a_slip_inside_a_group_that_may_be_left_out_is_told_as_anywhere_else() {
    for (settings, code, at, help) in [
        (r#"{"way": {"far": 200}}"#, "out-of-range", "200", None),
        (r#"{"way": {"far": "x"}}"#, "wrong-type", "\"x\"", None),
        (
            r#"{"way": {"fra": 2}}"#,
            "unknown-name",
            "\"fra\"",
            Some("far"),
        ),
        (r#"{"way": 3}"#, "wrong-type", "3", None),
        (
            r#"{"way": {"inner": {"far": -1}}}"#,
            "out-of-range",
            "-1",
            None,
        ),
        (
            r#"{"look": "egde"}"#,
            "unknown-choice",
            "\"egde\"",
            Some("edge"),
        ),
        // Two things it may be: neither is the one that was meant.
        (r#"{"either": "x"}"#, "unknown-choice", "\"x\"", None),
    ] {
        let found = told(settings);
        assert_eq!(found.len(), 1, "{settings}: {found:?}");
        assert_eq!((found[0].0, &*found[0].1), (code, at), "{settings}");
        if let Some(help) = help {
            let told = found[0].2.as_deref().unwrap_or_default();
            assert!(told.contains(help), "{settings}: {told}");
        }
    }
    assert_eq!(told(r#"{"way": {"far": 200, "fra": 1}}"#).len(), 2);
    assert!(told(r#"{"way": null, "look": null}"#).is_empty());
}
