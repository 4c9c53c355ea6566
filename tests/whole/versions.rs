//! Plugins compiled for older contracts still load, and give what they gave then.
//!
//! `tests/fixtures/contract-*/README.md` tells how they were made. They are never made again.

use crate::files::{root, scratch};
use crate::guests;
use hoopwright::design::{Design, Object, Thread};
use hoopwright::diagnostics::Diagnostic;
use hoopwright::pipeline::promise::{broken_by_design_step, broken_by_object_step};
use hoopwright::plugins::Origin;
use hoopwright::sandbox::{Kind, Limits, Plugin, Sandbox};
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
        .call_design(&plugin, &design, &all, settings, None, None)
        .unwrap();
    assert_eq!(answer.value, design);
    assert_eq!(broken_by_design_step(&design, &answer.value, &[]), [""; 0]);
    let findings: Vec<Value> = answer
        .log
        .findings
        .iter()
        .map(|finding| json!({ "severity": format!("{:?}", finding.severity).replace("Severity::", ""), "message": finding.message }))
        .collect();
    assert_eq!(Value::from(findings), stored("price.json"));
}

/// A plugin's bytes with one text in place of another of the same length, wherever it stands.
fn replaced(bytes: &[u8], old: &str, new: &str) -> Vec<u8> {
    assert_eq!(old.len(), new.len());
    let mut bytes = bytes.to_vec();
    let mut found = 0;
    for at in 0..bytes.len().saturating_sub(old.len()) {
        if bytes[at..].starts_with(old.as_bytes()) {
            bytes[at..at + new.len()].copy_from_slice(new.as_bytes());
            found += 1;
        }
    }
    assert!(found > 0, "{old}");
    bytes
}

fn refused(bytes: &[u8]) -> Diagnostic {
    let file = PathBuf::from("other.wasm");
    let loaded = Plugin::load(&sandbox(), bytes, Origin::File(file));
    let refused = loaded.err().unwrap();
    assert_eq!(refused.code, "plugin-contract", "{}", refused.message);
    refused
}

/// Plugins made without the SDK have no stamp: the version in the names of their interfaces counts.
#[test]
fn without_a_stamp_the_interface_s_version_says_which_side_to_upgrade() {
    let unstamped = replaced(
        guests::hostile(),
        "hoopwright-contract",
        "hoopwright-nothing!",
    );
    for (version, side) in [
        ("0.0.9", "Rebuild the plugin"),
        ("0.1.2", "Upgrade Hoopwright"),
        ("0.2.0", "Upgrade Hoopwright"),
        ("1.0.0", "Upgrade Hoopwright"),
    ] {
        let refused = refused(&replaced(&unstamped, "@0.1.1", &format!("@{version}")));
        assert_eq!(
            refused.message,
            format!(
                "the plugin other.wasm cannot be used: it speaks contract {version}, and this \
                 Hoopwright speaks 0.1.1"
            )
        );
        let help = refused.help.unwrap();
        assert!(help.starts_with(side), "{version}: {help}");
    }
    // As it is, it is taken.
    let file = PathBuf::from("unstamped.wasm");
    let plugin = Plugin::load(&sandbox(), &unstamped, Origin::File(file))
        .ok()
        .unwrap();
    assert_eq!(plugin.kind, Kind::Design);
}

/// A contract that was changed without a new version: one word of the records is another.
#[test]
fn a_changed_contract_under_the_old_version_is_refused() {
    let refused = refused(&replaced(
        guests::hostile(),
        "stitch-length",
        "stitch-longer",
    ));
    assert!(
        refused.message.starts_with(
            "the plugin other.wasm cannot be used: its functions do not fit contract 0.1.1: "
        ),
        "{}",
        refused.message
    );
    assert_eq!(
        refused.help.as_deref(),
        Some("Build it with an unchanged sdk/wit.")
    );
}
