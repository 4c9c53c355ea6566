//! A plugin, checked and described. Its code is compiled before it is first called.

use super::bindings::messages::Description;
use super::code::World;
use super::stamp::{Stamp, Version};
use super::{CallError, Sandbox, imports, stamp};
use crate::diagnostics::Diagnostic;
use crate::plugins::Origin;
use jsonschema::Validator;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::sync::{Arc, OnceLock};

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
    /// What was compiled, or why it was not.
    code: OnceLock<Result<World, CallError>>,
}

impl Plugin {
    /// Checks and compiles the plugin in `bytes`: a component, or a core module that carries its
    /// component type.
    ///
    /// # Errors
    /// One diagnostic, with what is wrong and what to do.
    pub fn load(sandbox: &Sandbox, bytes: &[u8], origin: Origin) -> Result<Self, Diagnostic> {
        let refuse = |code, why| refused(&origin, code, why);
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
        imports::check(bytes).map_err(|why| refuse("plugin-imports", why))?;
        let encoded;
        let component_bytes = if wasmparser::Parser::is_core_wasm(bytes) {
            encoded = component_of(bytes).map_err(|why| refuse("plugin-unreadable", why))?;
            &encoded
        } else {
            bytes
        };
        let stamp = stamp::read(component_bytes).map_err(|why| refuse("plugin-contract", why))?;
        let digest = Sha256::digest(bytes).into();
        let world =
            World::compile(sandbox, &digest, component_bytes, stamp.kind).map_err(|why| match why {
                CallError::Misfit(why) => refuse("plugin-contract", misfit(stamp.contract, &why)),
                why @ CallError::Damaged { .. } => refuse("cache-damaged", worded(&why)),
                why => refuse("plugin-unreadable", worded(&why)),
            })?;
        let description = sandbox.describe(&world).map_err(|error| match error {
            CallError::Misfit(why) => refuse("plugin-contract", misfit(stamp.contract, &why)),
            error => Diagnostic::error(
                "plugin-silent",
                format!("{origin} does not say what it is: {error}"),
            ),
        })?;
        Self::of(
            origin,
            bytes,
            &stamp,
            description,
            OnceLock::from(Ok(world)),
        )
    }

    /// A stock step, with what it says of itself. It is not compiled before it is called.
    ///
    /// # Errors
    /// The program was built badly.
    pub(crate) fn stock(
        bytes: &'static [u8],
        description: Description,
        origin: Origin,
    ) -> Result<Self, Diagnostic> {
        let stamp = stamp::read(bytes).map_err(|why| refused(&origin, "plugin-contract", why))?;
        Self::of(origin, bytes, &stamp, description, OnceLock::new())
    }

    fn of(
        origin: Origin,
        bytes: &[u8],
        stamp: &Stamp,
        description: Description,
        code: OnceLock<Result<World, CallError>>,
    ) -> Result<Self, Diagnostic> {
        let refuse = |code, why| refused(&origin, code, why);
        let schema: Value =
            serde_json::from_str(&description.settings_schema).unwrap_or(Value::Null);
        let validator = validator(&schema).map_err(|why| refuse("plugin-schema", why))?;
        if !is_step_name(&description.name) {
            return Err(refuse(
                "plugin-name",
                (
                    format!(
                        "its step name \"{}\" is not lower-case words joined by hyphens",
                        description.name.escape_debug()
                    ),
                    "Rename the step in the plugin.".to_owned(),
                ),
            ));
        }
        Ok(Self {
            name: description.name,
            version: description.version,
            summary: description.summary,
            manual: description.manual,
            schema,
            kind: stamp.kind,
            origin,
            bytes: bytes.into(),
            contract: stamp.contract,
            digest: Sha256::digest(bytes).into(),
            validator,
            code,
        })
    }

    /// Its exports, compiled when they are first asked for.
    ///
    /// # Errors
    /// It cannot be compiled.
    pub(super) fn world(&self, sandbox: &Sandbox) -> Result<&World, CallError> {
        let compile = || World::compile(sandbox, &self.digest, &self.bytes, self.kind);
        let code = self.code.get_or_init(compile);
        code.as_ref().map_err(Clone::clone)
    }

    /// Compiles it now, where it is not compiled. What is wrong is told by the first call.
    pub fn prepare(&self, sandbox: &Sandbox) {
        let _ = self.world(sandbox);
    }
}

fn refused(origin: &Origin, code: &'static str, (message, help): (String, String)) -> Diagnostic {
    Diagnostic::error(code, format!("{origin} cannot be used: {message}")).help(help)
}

/// Why a plugin's code cannot be used, and what to do about it.
fn worded(why: &CallError) -> (String, String) {
    (why.to_string(), why.help().unwrap_or_default())
}

/// A plugin whose functions are not those of the contract that it claims.
fn misfit(contract: Version, why: &str) -> (String, String) {
    (
        format!("its functions do not fit contract {contract}: {why}"),
        "Build it with an unchanged sdk/wit.".to_owned(),
    )
}

/// A core module with the contract's type in a custom section becomes a component.
pub(crate) fn component_of(module: &[u8]) -> Result<Vec<u8>, (String, String)> {
    wit_component::ComponentEncoder::default()
        .validate(true)
        .module(module)
        .and_then(|encoder| encoder.encode())
        .map_err(|error| {
            (
                format!("it is a plain Wasm module that does not become a component: {error:#}"),
                "Build it with the SDK for wasm32-unknown-unknown, without WASI.".to_owned(),
            )
        })
}

/// Compiles the schema of a plugin's settings. Nothing is ever fetched for it.
fn validator(schema: &Value) -> Result<Validator, (String, String)> {
    let help = "Define the settings with the SDK's settings! macro.".to_owned();
    if schema.get("type").and_then(Value::as_str) != Some("object") {
        return Err((
            "its settings schema is not that of an object".to_owned(),
            help,
        ));
    }
    jsonschema::draft202012::new(schema)
        .map_err(|error| (format!("its settings schema cannot be used: {error}"), help))
}

fn is_step_name(name: &str) -> bool {
    let word = |word: &str| {
        !word.is_empty()
            && word
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
    };
    name.len() <= 64 && name.split('-').all(word)
}
