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
    /// Compiles the component of the plugin with this digest, or takes it from the compiled ones that are kept.
    ///
    /// # Errors
    /// It is not valid Wasm, its functions are not the contract's, or what is kept of it is damaged for good.
    pub fn compile(
        sandbox: &Sandbox,
        digest: &[u8; 32],
        component: &[u8],
        kind: Kind,
    ) -> Result<Self, CallError> {
        let compile = || Component::new(&sandbox.engine, component);
        let component = sandbox
            .compiled
            .load(digest, compile)?
            .map_err(|error| CallError::Invalid(format!("{error:#}")))?;
        let pre = sandbox.linker.instantiate_pre(&component);
        pre.and_then(|pre| match kind {
            Kind::Object => ObjectPluginPre::new(pre).map(Self::Object),
            Kind::Design => DesignPluginPre::new(pre).map(Self::Design),
        })
        .map_err(|error| CallError::Misfit(format!("{error:#}")))
    }
}
