//! One engine for all plugins, set so that every machine gives the same answer.

use super::Limits;
use super::bindings::{design_plugin::DesignPlugin, object_plugin::ObjectPlugin};
use super::compiled::Compiled;
use super::session::Session;
use crate::diagnostics::Diagnostic;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use wasmtime::component::{HasSelf, Linker};
use wasmtime::{Config, Engine};

/// How often the clock is looked at while a guest runs.
pub(super) const TICK: Duration = Duration::from_millis(10);

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
            .epoch_interruption(true)
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
        // Both worlds import the same interfaces; the second adds nothing new.
        linker.allow_shadowing(true);
        DesignPlugin::add_to_linker::<_, HasSelf<_>>(&mut linker, |session| session)?;
        tick(&engine);
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

/// Moves the engine's clock on until the engine is gone.
fn tick(engine: &Engine) {
    let weak = engine.weak();
    std::thread::spawn(move || {
        while let Some(engine) = weak.upgrade() {
            engine.increment_epoch();
            drop(engine);
            std::thread::sleep(TICK);
        }
    });
}
