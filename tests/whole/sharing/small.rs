//! A pack so small that every byte of it can be tried.

use hoopwright::sharing::{Fingerprint, Pack, PackPath};
use serde_json::json;
use std::collections::BTreeMap;

/// A pack with all kinds of files. The plugin in it is no Wasm: whether it is one is seen when it is
/// run, never before.
pub fn pack() -> Pack {
    let plugin = b"\0asm, not really";
    let lock = json!({
        "form": 1,
        "steps": [{
            "step": "nudge",
            "version": "1.0.0",
            "contract": "0.1.1",
            "source": { "file": "steps/nudge.wasm" },
            "sha256": Fingerprint::of(plugin),
        }]
    });
    let files: [(&str, Vec<u8>); 4] = [
        (
            "owl/owl.json",
            br#"{ "rack": "../rack.csv", "steps": [{ "step": "nudge" }] }"#.to_vec(),
        ),
        ("owl/owl.lock.json", format!("{lock:#}\n").into_bytes()),
        ("owl/steps/nudge.wasm", plugin.to_vec()),
        ("rack.csv", b"code,name,colour\n1,Barn,#884422\n".to_vec()),
    ];
    let files: BTreeMap<PackPath, Vec<u8>> = files
        .into_iter()
        .map(|(path, bytes)| (path_of(path), bytes))
        .collect();
    Pack::new("Barn owl", &path_of("owl/owl.json"), files).unwrap()
}

pub fn path_of(path: &str) -> PackPath {
    PackPath::parse(path).unwrap()
}
