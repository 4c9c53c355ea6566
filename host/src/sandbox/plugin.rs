//! A plugin, checked and described. Its code is compiled before it is first called.

use super::bindings::messages::Description;
use super::code::{Unfit, World, misfit};
use super::settings_schema::{Parts, SettingsSchema};
use super::stamp::{self, Stamp, Version};
use super::{CallError, Sandbox, description, imports, make_up};
use crate::diagnostics::Diagnostic;
use crate::json::{Document, misfits};
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
    parts: Parts,
    /// What was compiled, or why it was not.
    code: OnceLock<Result<World, Box<Diagnostic>>>,
}

impl Plugin {
    /// Checks and compiles the plugin in `bytes`: a component, or a core module that carries its
    /// component type.
    ///
    /// # Errors
    /// One diagnostic, with what is wrong and what to do.
    pub fn load(sandbox: &Sandbox, bytes: &[u8], origin: Origin) -> Result<Self, Diagnostic> {
        let refuse = |code, why| Unfit::new(code)(why).of(&origin);
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
        let digest = Sha256::digest(bytes).into();
        let (stamp, world) =
            World::ready(sandbox, bytes, &digest).map_err(|why| why.of(&origin))?;
        let description = sandbox.describe(&world).map_err(|error| match error {
            CallError::Misfit(why) => refuse("plugin-contract", misfit(stamp.contract, &why)),
            error => Diagnostic::error(
                "plugin-silent",
                format!("{origin} does not say what it is: {error}"),
            )
            .help("This is a fault in the plugin; send its maker this message."),
        })?;
        Self::of(origin, bytes, digest, &stamp, description, Some(world))
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
        let stamp =
            stamp::read(bytes).map_err(|why| Unfit::new("plugin-contract")(why).of(&origin))?;
        let digest = Sha256::digest(bytes).into();
        Self::of(origin, bytes, digest, &stamp, description, None)
    }

    fn of(
        origin: Origin,
        bytes: &[u8],
        digest: [u8; 32],
        stamp: &Stamp,
        description: Description,
        world: Option<World>,
    ) -> Result<Self, Diagnostic> {
        let refuse = |code, why| Unfit::new(code)(why).of(&origin);
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
            digest,
            validator: schema.validator,
            parts: schema.parts,
            code: world.map_or_else(OnceLock::new, |world| OnceLock::from(Ok(world))),
        })
    }

    /// The beginning of a key by which a result is kept: a digest over the plugin's bytes and `settings`, to be
    /// gone on with what it is given.
    pub(crate) fn key_with(&self, settings: &str) -> Sha256 {
        let mut hash = Sha256::new();
        hash.update(self.digest);
        hash.update((settings.len() as u64).to_le_bytes());
        hash.update(settings);
        hash
    }

    /// Its exports, compiled when they are first asked for. Whoever asks meanwhile waits.
    ///
    /// # Errors
    /// It cannot be compiled.
    pub(super) fn world(&self, sandbox: &Sandbox) -> Result<&World, CallError> {
        let compile = || match World::ready(sandbox, &self.bytes, &self.digest) {
            Ok((_, world)) => Ok(world),
            Err(why) => Err(Box::new(why.of(&self.origin))),
        };
        let code = self.code.get_or_init(compile);
        code.as_ref().map_err(|why| CallError::Unready(why.clone()))
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
