//! A plugin, checked and compiled.

use super::bindings::{design_plugin::DesignPluginPre, object_plugin::ObjectPluginPre};
use super::session::Session;
use super::settings_schema::{Parts, SettingsSchema};
use super::stamp::Version;
use super::{CallError, Sandbox, description, imports, make_up, ready};
use crate::diagnostics::Diagnostic;
use crate::json::{Document, misfits};
use crate::plugins::Origin;
use jsonschema::Validator;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::sync::Arc;

/// The two kinds of step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Works on one object at a time.
    Object,
    /// Sees the whole design.
    Design,
}

/// A plugin that may be called.
pub struct Plugin {
    /// The name that pipelines use.
    pub name: String,
    /// The plugin's own version.
    pub version: String,
    /// What the step does, as a sentence.
    pub summary: String,
    /// When to use it and how, in Markdown.
    pub manual: String,
    /// JSON Schema of the settings.
    pub schema: Value,
    /// Which kind of step it is.
    pub kind: Kind,
    /// Where it was found.
    pub origin: Origin,
    /// The plugin as it was given, for whoever passes it on.
    pub bytes: Arc<[u8]>,
    /// The version of the contract that it speaks.
    pub contract: Version,
    /// SHA-256 of the plugin's bytes.
    pub digest: [u8; 32],
    /// Checks settings against the schema.
    pub validator: Validator,
    parts: Parts,
    pub(super) world: World,
}

/// A plugin's exports, ready to be instantiated.
pub(super) enum World {
    Object(ObjectPluginPre<Session>),
    Design(DesignPluginPre<Session>),
}

impl Plugin {
    /// Checks and compiles the plugin in `bytes`: a component, or a core module that carries its
    /// component type.
    ///
    /// # Errors
    /// One diagnostic, with what is wrong and what to do.
    pub fn load(sandbox: &Sandbox, bytes: &[u8], origin: Origin) -> Result<Self, Diagnostic> {
        let refuse = |code, (message, help): (String, String)| {
            Diagnostic::error(code, format!("{origin} cannot be used: {message}")).help(help)
        };
        let cap = sandbox.limits.plugin_mib << 20;
        if bytes.len() > cap {
            return Err(refuse(
                "plugin-too-large",
                (
                    format!(
                        "it is {} MiB large, and the limit is {} MiB",
                        bytes.len() >> 20,
                        sandbox.limits.plugin_mib
                    ),
                    "Build it in release mode and strip it.".to_owned(),
                ),
            ));
        }
        if wasmtime::Engine::detect_precompiled(bytes).is_some() {
            return Err(refuse(
                "plugin-precompiled",
                (
                    "it is compiled for one machine already, and so cannot be kept in the sandbox"
                        .to_owned(),
                    "Ask its maker for the Wasm component.".to_owned(),
                ),
            ));
        }
        if !bytes.starts_with(b"\0asm") {
            return Err(refuse(
                "plugin-unreadable",
                (
                    "it is not Wasm".to_owned(),
                    "Give the .wasm file that the plugin's build made.".to_owned(),
                ),
            ));
        }
        make_up::check(bytes).map_err(|why| refuse("plugin-too-much", why))?;
        imports::check(bytes).map_err(|why| refuse("plugin-imports", why))?;
        let (stamp, component) = ready::make(sandbox, bytes).map_err(|why| why.of(&origin))?;
        let pre = sandbox.linker.instantiate_pre(&component);
        let world = pre.and_then(|pre| match stamp.kind {
            Kind::Object => ObjectPluginPre::new(pre).map(World::Object),
            Kind::Design => DesignPluginPre::new(pre).map(World::Design),
        });
        let world = world.map_err(|error| {
            refuse(
                "plugin-contract",
                misfit(stamp.contract, &format!("{error:#}")),
            )
        })?;
        let description = sandbox.describe(&world).map_err(|error| match error {
            CallError::Misfit(why) => refuse("plugin-contract", misfit(stamp.contract, &why)),
            error => Diagnostic::error(
                "plugin-silent",
                format!("{origin} does not say what it is: {error}"),
            )
            .help("This is a fault in the plugin; send its maker this message."),
        })?;
        let description =
            description::checked(description).map_err(|why| refuse("plugin-description", why))?;
        let schema = SettingsSchema::read(&description.settings_schema)
            .map_err(|why| refuse("plugin-schema", why))?;
        Ok(Self {
            name: description.name,
            version: description.version,
            summary: description.summary,
            manual: description.manual,
            schema: schema.value,
            kind: stamp.kind,
            origin,
            bytes: bytes.into(),
            contract: stamp.contract,
            digest: Sha256::digest(bytes).into(),
            validator: schema.validator,
            parts: schema.parts,
            world,
        })
    }
}

impl Plugin {
    /// Everything in the settings at `pointer` that does not fit, each pointed at its place.
    pub(crate) fn misfits(&self, document: &Document, pointer: &str) -> Vec<Diagnostic> {
        let settings = document.value.pointer(pointer);
        if let Some(why) = settings.and_then(|settings| self.parts.too_large(settings)) {
            let problem = Diagnostic::error("settings-too-large", why);
            let problem = problem.help("Split what they describe over several steps.");
            return vec![document.point(problem, document.value_range(pointer))];
        }
        misfits(document, pointer, &self.schema, &self.validator, "setting")
    }
}

/// A plugin whose functions are not those of the contract that it claims.
fn misfit(contract: Version, why: &str) -> (String, String) {
    (
        format!("its functions do not fit contract {contract}: {why}"),
        "Build it with an unchanged sdk/wit.".to_owned(),
    )
}
