//! A plugin's code, compiled for this machine.

use super::bindings::{design_plugin::DesignPluginPre, object_plugin::ObjectPluginPre};
use super::session::Session;
use super::{CallError, Kind, Sandbox};
use wasmtime::component::Component;

/// A plugin's exports, ready to be instantiated.
pub(super) enum World {
    Object(ObjectPluginPre<Session>),
    Design(DesignPluginPre<Session>),
}

impl World {
    /// Compiles a component, or takes it from the compiled ones that are kept.
    ///
    /// # Errors
    /// It is not valid Wasm, or its functions are not the contract's.
    pub fn compile(sandbox: &Sandbox, component: &[u8], kind: Kind) -> Result<Self, CallError> {
        let component = Component::new(&sandbox.engine, component)
            .map_err(|error| CallError::Invalid(format!("{error:#}")))?;
        let pre = sandbox.linker.instantiate_pre(&component);
        pre.and_then(|pre| match kind {
            Kind::Object => ObjectPluginPre::new(pre).map(Self::Object),
            Kind::Design => DesignPluginPre::new(pre).map(Self::Design),
        })
        .map_err(|error| CallError::Misfit(format!("{error:#}")))
    }
}
