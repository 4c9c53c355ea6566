//! Plugins compiled for older contracts still load, and give what they gave then.
//!
//! `tests/fixtures/contract-*/README.md` tells how they were made. They are never made again.

use crate::files::{root, scratch};
use hoopwright::design::{Design, Object, Thread};
use hoopwright::pipeline::promise::{broken_by_design_step, broken_by_object_step};
use hoopwright::sandbox::{Kind, Limits, Origin, Plugin, Sandbox};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::path::PathBuf;

fn fixtures() -> PathBuf {
    root().join("tests/fixtures/contract-0.1")
}

fn load(sandbox: &Sandbox, name: &str) -> Plugin {
    let file = fixtures().join(name);
    let bytes = std::fs::read(&file).unwrap();
    Plugin::load(sandbox, &bytes, Origin::File(file))
        .unwrap_or_else(|refused| panic!("{}", refused.message))
}

fn sandbox() -> Sandbox {
    Sandbox::new(Limits::default(), Some(&scratch().join("compiled"))).unwrap()
}

fn stored(name: &str) -> Value {
    let text = std::fs::read_to_string(fixtures().join(name)).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// A file changed by mistake would show nothing of the contract.
#[test]
fn the_old_plugins_are_the_old_ones() {
    for line in std::fs::read_to_string(fixtures().join("SHA256SUMS"))
        .unwrap()
        .lines()
    {
        let (digest, name) = line.split_once("  ").unwrap();
        let bytes = std::fs::read(fixtures().join(name)).unwrap();
        let is: String = Sha256::digest(&bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(is, digest, "{name}");
    }
}

#[test]
fn an_object_step_of_contract_0_1_gives_what_it_gave() {
    let sandbox = sandbox();
    let plugin = load(&sandbox, "nudge.wasm");
    assert_eq!(plugin.kind, Kind::Object);
    assert_eq!(
        (plugin.name.as_str(), plugin.version.as_str()),
        ("nudge", "0.1.0")
    );
    let object: Object = serde_json::from_value(stored("object.json")).unwrap();
    let thread: Thread =
        serde_json::from_value(stored("design.json")["threads"][0].clone()).unwrap();
    let settings = r#"{"right":2.5,"down":-0.1}"#;
    let answer = sandbox
        .call_object(&plugin, &object, &thread, settings)
        .unwrap();
    assert_eq!(broken_by_object_step(&object, &answer.value), [""; 0]);
    assert_eq!(
        serde_json::to_value(&answer.value).unwrap(),
        stored("nudged.json")
    );
    // What it says about itself is the same too: shops' pipelines are checked against it.
    assert_eq!(plugin.schema, stored("nudge.schema.json"));
}

#[test]
fn a_design_step_of_contract_0_1_gives_what_it_gave() {
    let sandbox = sandbox();
    let plugin = load(&sandbox, "price-estimate.wasm");
    assert_eq!(plugin.kind, Kind::Design);
    let design: Design = serde_json::from_value(stored("design.json")).unwrap();
    let all: Vec<u32> = (0..design.objects.len() as u32).collect();
    let settings = r#"{"pieces":12,"currency":"EUR"}"#;
    let answer = sandbox
        .call_design(&plugin, &design, &all, settings, None)
        .unwrap();
    assert_eq!(answer.value, design);
    assert_eq!(broken_by_design_step(&design, &answer.value, &[]), [""; 0]);
    let findings: Vec<Value> = answer
        .log
        .findings
        .iter()
        .map(|finding| json!({ "severity": format!("{:?}", finding.severity), "message": finding.message }))
        .collect();
    assert_eq!(Value::from(findings), stored("price.json"));
}
