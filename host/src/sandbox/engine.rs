//! One engine for all plugins, set so that every machine gives the same answer.

use super::Limits;
use super::bindings::design_plugin::DesignPlugin;
use super::bindings::object_plugin::ObjectPlugin;
use super::bindings::piecework_plugin::PieceworkPlugin;
use super::compiled::Compiled;
use super::session::Session;
use crate::diagnostics::Diagnostic;
use std::path::Path;
use std::sync::Arc;
use wasmtime::component::{HasSelf, Linker};
use wasmtime::{Config, Engine};

/// A place to run plugins.
pub struct Sandbox {
    pub(super) engine: Engine,
    pub(super) linker: Linker<Session>,
    pub(super) limits: Limits,
    pub(super) compiled: Arc<Compiled>,
}

impl Sandbox {
    /// A sandbox with `limits` for each call. Compiled plugins are kept in the folder `cache`;
    /// where that fails they are compiled afresh each time.
    ///
    /// # Errors
    /// When the engine does not support this machine.
    pub fn new(limits: Limits, cache: Option<&Path>) -> wasmtime::Result<Self> {
        let mut config = Config::new();
        config
            .wasm_component_model(true)
            .consume_fuel(true)
            .cranelift_nan_canonicalization(true)
            .wasm_relaxed_simd(true)
            .relaxed_simd_deterministic(true)
            .wasm_memory64(false)
            .max_wasm_stack(1 << 20);
        let compiled = Compiled::within(cache);
        config.cache(compiled.cache());
        let engine = Engine::new(&config)?;
        let mut linker = Linker::new(&engine);
        ObjectPlugin::add_to_linker::<_, HasSelf<_>>(&mut linker, |session| session)?;
        // All worlds import the same interfaces; the last adds its own.
        linker.allow_shadowing(true);
        DesignPlugin::add_to_linker::<_, HasSelf<_>>(&mut linker, |session| session)?;
        PieceworkPlugin::add_to_linker::<_, HasSelf<_>>(&mut linker, |session| session)?;
        Ok(Self {
            engine,
            linker,
            limits,
            compiled: Arc::new(compiled),
        })
    }

    /// The limits of each call.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// What was noticed of the folder of compiled plugins: damage, or that nothing can be kept there.
    /// Each thing is given once.
    pub fn noticed(&self) -> Vec<Diagnostic> {
        self.compiled.noticed()
    }
}
