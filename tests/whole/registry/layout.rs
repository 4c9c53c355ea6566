//! What was pushed, looked at from outside.

use super::server::{Guard, Server};
use super::shop::{Shop, told};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::Path;
use std::process::Command;

fn digest(bytes: &[u8]) -> String {
    let hex: String = Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("sha256:{hex}")
}

/// An independent client for registries.
fn skopeo(arguments: &[&str]) -> Vec<u8> {
    let output = Command::new("skopeo")
        .args(arguments)
        .output()
        .expect("skopeo is missing: apt-get install skopeo");
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    output.stdout
}

/// The bytes of a blob in an OCI image layout folder. Source: OCI image specification 1.1,
/// image-layout.md, "Blobs".
fn blob(folder: &Path, digest: &str) -> Vec<u8> {
    fs::read(folder.join("blobs").join(digest.replace(':', "/"))).unwrap()
}

/// An independent client fetches what was pushed, checks all digests and sizes on its way, and finds in
/// it what the CNCF TAG Runtime's "Wasm OCI Artifact layout" asks for, in the sections named below:
/// <https://tag-runtime.cncf.io/wgs/wasm/deliverables/wasm-oci-artifact/>.
#[test]
#[ignore = "needs docker-registry and skopeo; .ci/run installs them and runs this"]
fn is_that_of_the_standard() {
    let registry = Server::start(&Guard::Open);
    let shop = Shop::new();
    let own = shop.own_step();
    let reference = registry.reference("barn/own:1");
    let pushed = shop.done(&format!("push {own} {reference} --json"));
    let from = reference.replace("oci:", "docker://");
    let raw = skopeo(&["inspect", "--raw", "--tls-verify=false", &from]);
    assert_eq!(digest(&raw), told(&pushed, "manifest"));
    let folder = shop.at("fetched");
    let to = format!("oci:{}:1", folder.display());
    skopeo(&[
        "--insecure-policy",
        "copy",
        "--src-tls-verify=false",
        &from,
        &to,
    ]);

    // "Manifest format"; OCI image specification 1.1, manifest.md, "Image Manifest Property
    // Descriptions".
    let manifest: Value = serde_json::from_slice(&raw).unwrap();
    assert_eq!(manifest["schemaVersion"], 2);
    assert_eq!(
        manifest["mediaType"],
        "application/vnd.oci.image.manifest.v1+json"
    );
    let config = &manifest["config"];
    assert_eq!(config["mediaType"], "application/vnd.wasm.config.v0+json");
    let layers = manifest["layers"].as_array().unwrap();
    assert_eq!(layers.len(), 1);
    assert_eq!(layers[0]["mediaType"], "application/wasm");
    for descriptor in [config, &layers[0]] {
        let bytes = blob(&folder, descriptor["digest"].as_str().unwrap());
        assert_eq!(digest(&bytes), descriptor["digest"]);
        assert_eq!(descriptor["size"], bytes.len());
    }
    assert_eq!(
        layers[0]["digest"],
        format!("sha256:{}", told(&pushed, "sha256"))
    );

    // "Config.mediaType".
    let component = blob(&folder, layers[0]["digest"].as_str().unwrap());
    let config = blob(&folder, config["digest"].as_str().unwrap());
    let config: Value = serde_json::from_slice(&config).unwrap();
    assert_eq!(config["architecture"], "wasm");
    assert_eq!(config["os"], "wasip2");
    assert_eq!(config["layerDigests"], json!([layers[0]["digest"]]));
    let created = config["created"].as_str().unwrap();
    assert!(
        created.ends_with('Z'),
        "{created} is no RFC 3339 time in UTC"
    );

    // Component model, Binary.md: the preamble of a component is version 0xd, layer 1.
    assert_eq!(component[..8], *b"\0asm\x0d\0\x01\0");
    wasmparser::Validator::new()
        .validate_all(&component)
        .expect("what was pushed is valid Wasm");
    let (imports, exports) = externs(&component);
    assert_eq!(config["component"]["imports"], json!(imports));
    assert_eq!(config["component"]["exports"], json!(exports));
    assert_eq!(
        exports,
        [
            "hoopwright:step/design-step@0.1.1",
            "hoopwright:step/piece-worker@0.1.1"
        ]
    );
    assert_eq!(
        config["component"]["target"],
        "hoopwright:step/piecework-plugin@0.1.1"
    );
}

/// The names of what a component imports and exports, in order, as a reader of Wasm finds them.
fn externs(component: &[u8]) -> (Vec<String>, Vec<String>) {
    use wasmparser::Payload;
    let (mut imports, mut exports) = (Vec::new(), Vec::new());
    let mut depth = 0;
    for payload in wasmparser::Parser::new(0).parse_all(component) {
        match payload.unwrap() {
            Payload::ModuleSection { .. } | Payload::ComponentSection { .. } => depth += 1,
            Payload::End(_) => depth -= 1,
            Payload::ComponentImportSection(section) if depth == 0 => {
                for import in section {
                    imports.push(import.unwrap().name.name.to_owned());
                }
            }
            Payload::ComponentExportSection(section) if depth == 0 => {
                for export in section {
                    exports.push(export.unwrap().name.name.to_owned());
                }
            }
            _ => {}
        }
    }
    imports.sort();
    exports.sort();
    (imports, exports)
}
