//! How a step lies in a registry: the CNCF TAG Runtime's "Wasm OCI Artifact layout".
//!
//! Source: <https://tag-runtime.cncf.io/wgs/wasm/deliverables/wasm-oci-artifact/>, sections "Manifest
//! format" and "Config.mediaType", over the OCI image specification 1.1, manifest.md.

use super::Digest;
use crate::diagnostics::Diagnostic;
use crate::sandbox::{Plugin, component_of};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The manifest's media type.
pub const MANIFEST_TYPE: &str = "application/vnd.oci.image.manifest.v1+json";

/// The config's media type, by which an artifact is known to be Wasm.
pub const CONFIG_TYPE: &str = "application/vnd.wasm.config.v0+json";

/// The layer's media type.
pub const LAYER_TYPE: &str = "application/wasm";

/// The largest manifest and the largest config read, in bytes. The OCI distribution specification
/// asks registries to take manifests of up to 4 MiB; a step's has one.
pub const LARGEST_DOCUMENT: u64 = 4 << 20;

/// A step as it is pushed: the same plugin gives the same bytes, whenever and wherever.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Artifact {
    /// The component: what runs.
    pub plugin: Vec<u8>,
    /// What the layout says of the component.
    pub config: Vec<u8>,
    /// What ties both together; its digest names the step for ever.
    pub manifest: Vec<u8>,
}

/// What a manifest says of a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contents {
    /// The config.
    pub config: Blob,
    /// The component.
    pub plugin: Blob,
}

/// Bytes that a manifest names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Blob {
    /// Their digest.
    pub digest: Digest,
    /// How many there are.
    pub size: u64,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
struct Manifest {
    schema_version: u32,
    #[serde(default)]
    media_type: String,
    config: Descriptor,
    layers: Vec<Descriptor>,
    #[serde(default)]
    annotations: BTreeMap<String, String>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
struct Descriptor {
    media_type: String,
    digest: String,
    size: u64,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
struct Config {
    #[serde(default)]
    created: String,
    architecture: String,
    os: String,
    layer_digests: Vec<String>,
    #[serde(default)]
    component: Option<World>,
}

#[derive(Serialize, Deserialize)]
struct World {
    exports: Vec<String>,
    imports: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    target: Option<String>,
}

/// Readers of the layout ask for a time. No clock is looked at, so that pushing twice gives the same
/// digest; this is the time that such builds agree on (common practice).
const CREATED: &str = "1970-01-01T00:00:00Z";

impl Artifact {
    /// Lays out `bytes`, which `plugin` was loaded from. A core module becomes a component first.
    ///
    /// # Errors
    /// Bytes that are no component, and do not become one.
    pub fn of(bytes: &[u8], plugin: &Plugin) -> Result<Self, Diagnostic> {
        let refuse = |(message, help): (String, String)| {
            Diagnostic::error(
                "plugin-unreadable",
                format!("{} cannot be pushed: {message}", plugin.origin),
            )
            .help(help)
        };
        let component = if wasmparser::Parser::is_core_wasm(bytes) {
            component_of(bytes).map_err(refuse)?
        } else {
            bytes.to_vec()
        };
        let world = World::of(&component).map_err(|error| {
            refuse((
                format!("its imports and exports cannot be read: {error}"),
                "Build it again; the file may be damaged.".to_owned(),
            ))
        })?;
        let config = Config {
            created: CREATED.to_owned(),
            architecture: "wasm".to_owned(),
            os: "wasip2".to_owned(),
            layer_digests: vec![Digest::of(&component).to_string()],
            component: Some(world),
        };
        let config = written(&config)?;
        let annotation =
            |key: &str, value: &str| (format!("org.opencontainers.image.{key}"), value.to_owned());
        let manifest = Manifest {
            schema_version: 2,
            media_type: MANIFEST_TYPE.to_owned(),
            config: Descriptor::of(CONFIG_TYPE, &config),
            layers: vec![Descriptor::of(LAYER_TYPE, &component)],
            annotations: BTreeMap::from([
                annotation("title", &plugin.name),
                annotation("version", &plugin.version),
                annotation("description", &plugin.summary),
            ]),
        };
        Ok(Self {
            manifest: written(&manifest)?,
            plugin: component,
            config,
        })
    }

    /// What the manifest says.
    pub fn contents(&self) -> Contents {
        Contents {
            config: Blob::of(&self.config),
            plugin: Blob::of(&self.plugin),
        }
    }
}

impl Blob {
    fn of(bytes: &[u8]) -> Self {
        Self {
            digest: Digest::of(bytes),
            size: bytes.len() as u64,
        }
    }
}

impl Descriptor {
    fn of(media_type: &str, bytes: &[u8]) -> Self {
        Self {
            media_type: media_type.to_owned(),
            digest: Digest::of(bytes).to_string(),
            size: bytes.len() as u64,
        }
    }

    /// The bytes it names, if they are of this type and no more than `most`.
    fn blob(&self, media_type: &str, most: u64) -> Result<Blob, String> {
        if self.media_type != media_type {
            return Err(format!(
                "it holds \"{}\" where a step has \"{media_type}\"",
                self.media_type.escape_debug()
            ));
        }
        if self.size > most {
            return Err(format!(
                "its {media_type} is {} MiB large, and the limit is {} MiB",
                self.size.div_ceil(1 << 20),
                most >> 20
            ));
        }
        Ok(Blob {
            digest: self.digest.parse()?,
            size: self.size,
        })
    }
}

impl World {
    fn of(component: &[u8]) -> Result<Self, String> {
        use wit_component::DecodedWasm;
        let decoded = wit_component::decode(component).map_err(|error| format!("{error:#}"))?;
        let DecodedWasm::Component(resolve, id) = decoded else {
            return Err("it holds only interfaces".to_owned());
        };
        let world = &resolve.worlds[id];
        let names = |items: &mut dyn Iterator<Item = String>| {
            let mut names: Vec<String> = items.collect();
            names.sort();
            names
        };
        let exports = names(&mut world.exports.keys().map(|key| resolve.name_world_key(key)));
        let imports = names(&mut world.imports.keys().map(|key| resolve.name_world_key(key)));
        // `hoopwright:step/object-step@0.1.1` is the export of the world `object-plugin`.
        let ours = exports
            .iter()
            .filter(|it| it.starts_with("hoopwright:step/"));
        let step = ours.clone().find(|export| export.contains("-step@"));
        let piecework = ours.clone().any(|export| export.contains("/piece-worker@"));
        let target = step.map(|export| match piecework {
            true => export.replace("/design-step@", "/piecework-plugin@"),
            false => export.replace("-step@", "-plugin@"),
        });
        Ok(Self {
            exports,
            imports,
            target,
        })
    }
}

/// A document as JSON, in the order of its fields.
fn written<T: Serialize>(document: &T) -> Result<Vec<u8>, Diagnostic> {
    serde_json::to_vec(document).map_err(|error| {
        Diagnostic::error("internal", format!("a document cannot be written: {error}"))
    })
}

/// Reads a manifest: it must be that of one Wasm component of at most `most` bytes.
///
/// # Errors
/// A sentence that says why it is not a step's.
pub fn read_manifest(bytes: &[u8], most: u64) -> Result<Contents, String> {
    let kind: serde_json::Value =
        serde_json::from_slice(bytes).map_err(|error| format!("it is not JSON: {error}"))?;
    if kind.get("manifests").is_some() {
        return Err("it is a list of images for several machines".to_owned());
    }
    let manifest: Manifest = serde_json::from_value(kind)
        .map_err(|error| format!("it is not an image manifest: {error}"))?;
    if manifest.schema_version != 2 {
        return Err(format!(
            "its manifest is of version {}, and not 2",
            manifest.schema_version
        ));
    }
    if !manifest.media_type.is_empty() && manifest.media_type != MANIFEST_TYPE {
        return Err(format!(
            "its manifest is \"{}\"",
            manifest.media_type.escape_debug()
        ));
    }
    let config = manifest.config.blob(CONFIG_TYPE, LARGEST_DOCUMENT)?;
    let [layer] = manifest.layers.as_slice() else {
        return Err(format!(
            "it has {} layers, and a step has one",
            manifest.layers.len()
        ));
    };
    Ok(Contents {
        config,
        plugin: layer.blob(LAYER_TYPE, most)?,
    })
}

/// Holds a config against the manifest that names it.
///
/// # Errors
/// A sentence that says what does not fit.
pub fn check_config(bytes: &[u8], contents: &Contents) -> Result<(), String> {
    let config: Config = serde_json::from_slice(bytes)
        .map_err(|error| format!("its config is not that of a Wasm artifact: {error}"))?;
    if config.architecture != "wasm" {
        return Err(format!(
            "its config says \"{}\" where Wasm says \"wasm\"",
            config.architecture.escape_debug()
        ));
    }
    if config.layer_digests != [contents.plugin.digest.to_string()] {
        return Err("its config names other layers than its manifest".to_owned());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    const MOST: u64 = 1 << 20;

    fn sound() -> Value {
        let digest = Digest::of(b"x").to_string();
        json!({
            "schemaVersion": 2,
            "mediaType": MANIFEST_TYPE,
            "config": {"mediaType": CONFIG_TYPE, "digest": digest, "size": 1},
            "layers": [{"mediaType": LAYER_TYPE, "digest": digest, "size": 1}],
        })
    }

    fn read(manifest: &Value) -> Result<Contents, String> {
        read_manifest(manifest.to_string().as_bytes(), MOST)
    }

    #[test]
    fn a_sound_manifest_is_read() {
        let contents = read(&sound()).expect("it is sound");
        assert_eq!(contents.plugin, Blob::of(b"x"));
        assert_eq!(contents.config, Blob::of(b"x"));
    }

    /// What the layout's own text asks readers to reject, and what is not a step at all.
    #[test]
    fn all_else_is_refused_by_name() {
        let mut cases: Vec<(Value, &str)> = Vec::new();
        let mut wrong = |pointer: &str, value: Value, why| {
            let mut manifest = sound();
            *manifest.pointer_mut(pointer).expect("a place") = value;
            cases.push((manifest, why));
        };
        let layer = sound()["layers"][0].clone();
        wrong("/layers", json!([layer, layer]), "2 layers");
        wrong("/layers", json!([]), "0 layers");
        let image = "application/vnd.oci.image.config.v1+json";
        wrong("/config/mediaType", json!(image), image);
        let tar = "application/vnd.oci.image.layer.v1.tar+gzip";
        wrong("/layers/0/mediaType", json!(tar), tar);
        wrong("/layers/0/size", json!(MOST + 1), "2 MiB large");
        wrong("/layers/0/size", json!(-1), "not an image manifest");
        wrong("/config/size", json!(u64::MAX), "large");
        wrong("/layers/0/digest", json!("sha256:../../x"), "hexadecimal");
        wrong("/schemaVersion", json!(1), "version 1");
        wrong("/mediaType", json!("text/plain"), "text/plain");
        cases.push((json!({"manifests": []}), "several machines"));
        cases.push((json!([]), "not an image manifest"));
        for (manifest, why) in cases {
            let told = read(&manifest).expect_err(why);
            assert!(told.contains(why), "{told}");
        }
        assert!(read_manifest(b"\xff", MOST).is_err());
    }

    #[test]
    fn a_config_must_fit() {
        let contents = read(&sound()).expect("it is sound");
        let config = |architecture: &str, layers: Value| {
            json!({
                "architecture": architecture,
                "os": "wasip2",
                "layerDigests": layers,
            })
            .to_string()
        };
        let layers = json!([contents.plugin.digest.to_string()]);
        let sound = config("wasm", layers.clone());
        assert_eq!(check_config(sound.as_bytes(), &contents), Ok(()));
        for wrong in [
            config("amd64", layers),
            config("wasm", json!([])),
            config("wasm", json!([Digest::of(b"y").to_string()])),
            "{}".to_owned(),
        ] {
            assert!(
                check_config(wrong.as_bytes(), &contents).is_err(),
                "{wrong}"
            );
        }
    }
}
