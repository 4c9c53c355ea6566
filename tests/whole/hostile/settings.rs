//! Settings held against a stranger's schema, outside the sandbox: it may not take long.

use super::child::run;
use super::raw::Raw;
use crate::files::scratch;
use hoopwright::sandbox::Kind;
use serde_json::{Value, json};
use std::path::PathBuf;

/// A folder with a plugin of this schema and a pipeline that gives it these settings.
fn shop(name: &str, properties: Value, settings: Value) -> PathBuf {
    let folder = scratch().join("hostile-settings").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(folder.join("steps")).unwrap();
    let mut raw = Raw::new(Kind::Object);
    raw.schema = json!({ "type": "object", "properties": properties }).to_string();
    std::fs::write(folder.join("steps/by-hand.wasm"), raw.bytes()).unwrap();
    let pipeline = json!({ "steps": [{ "step": "by-hand", "settings": settings }] });
    std::fs::write(folder.join("routine.json"), pipeline.to_string()).unwrap();
    folder
}

/// The classic patterns that a backtracking engine takes for ever on; they stand in every text about
/// such patterns (common practice, from memory).
#[test]
fn catastrophic_patterns_take_no_longer_than_others() {
    let almost = "a".repeat(50_000) + "!";
    for (i, pattern) in ["^(a+)+$", "^(a|a)*$", "^(a|aa)+$", "^(.*a){12}$"]
        .into_iter()
        .enumerate()
    {
        let folder = shop(
            &format!("pattern-{i}"),
            json!({ "x": { "type": "string", "pattern": pattern } }),
            json!({ "x": almost }),
        );
        let ended = run(&folder, &["check", "routine.json", "--telling", "json"]);
        assert_eq!(ended.code, 1, "{pattern}: {}", ended.stderr);
        assert!(ended.stderr.contains("\"code\""), "{}", ended.stderr);
    }
}

/// A hundred parts that are all looked at for every value.
#[test]
fn settings_too_large_for_their_schema_are_refused() {
    let numbers: Vec<u32> = (0..100_000).collect();
    let looks: Vec<Value> = (0..100).map(|i| json!({ "multipleOf": i + 2 })).collect();
    let folder = shop(
        "large",
        json!({ "x": { "type": "array", "items": { "allOf": looks } } }),
        json!({ "x": numbers }),
    );
    let ended = run(&folder, &["check", "routine.json", "--telling", "json"]);
    assert_eq!(ended.code, 1);
    assert!(
        ended.stderr.contains("settings-too-large"),
        "{}",
        ended.stderr
    );
    assert!(ended.peak_mib < 500, "{} MiB", ended.peak_mib);
}
