//! A plugin's code, ready to be called.

use super::bindings::design_plugin::DesignPluginPre;
use super::bindings::object_plugin::ObjectPluginPre;
use super::bindings::piecework_plugin::PieceworkPluginPre;
use super::session::Session;
use super::stamp::{Stamp, Version};
use super::{Kind, Sandbox, ready};
use crate::diagnostics::{Choice, Diagnostic};

/// A plugin's exports, ready to be instantiated.
pub(super) enum World {
    Object(ObjectPluginPre<Session>),
    /// With its worker, where it gives work out in pieces.
    Design(
        DesignPluginPre<Session>,
        Option<PieceworkPluginPre<Session>>,
    ),
}

/// Why a plugin cannot be used: a code, what is wrong, what to do, and what that asks to choose otherwise.
pub(super) struct Unfit {
    code: &'static str,
    why: String,
    help: String,
    choice: Option<Choice>,
}

impl World {
    /// Makes the plugin with this digest ready, or takes it from the compiled ones that are kept.
    ///
    /// # Errors
    /// It is no plugin of a contract that is spoken here, is not valid, or takes too long.
    pub fn ready(
        sandbox: &Sandbox,
        plugin: &[u8],
        digest: &[u8; 32],
    ) -> Result<(Stamp, Self), Unfit> {
        let (stamp, component) = ready::make(sandbox, plugin, digest)?;
        let pre = sandbox.linker.instantiate_pre(&component);
        let world = pre.and_then(|pre| match stamp.kind {
            Kind::Object => ObjectPluginPre::new(pre).map(Self::Object),
            Kind::Design => {
                let worker = stamp
                    .piecework
                    .then(|| PieceworkPluginPre::new(pre.clone()));
                Ok(Self::Design(
                    DesignPluginPre::new(pre)?,
                    worker.transpose()?,
                ))
            }
        });
        match world {
            Ok(world) => Ok((stamp, world)),
            Err(error) => {
                let why = misfit(stamp.contract, &format!("{error:#}"));
                Err(Unfit::new("plugin-contract")(why))
            }
        }
    }
}

impl Unfit {
    pub fn new(code: &'static str) -> impl Fn((String, String)) -> Self {
        move |(why, help)| Self {
            code,
            why,
            help,
            choice: None,
        }
    }

    /// Says what the help's last words ask to choose otherwise.
    pub fn choosing(mut self, choice: Choice) -> Self {
        self.choice = Some(choice);
        self
    }

    /// As it is told of the plugin called `origin`.
    pub fn of(self, origin: &impl std::fmt::Display) -> Diagnostic {
        let message = format!("{origin} cannot be used: {}", self.why);
        let told = Diagnostic::error(self.code, message).help(self.help);
        self.choice.into_iter().fold(told, Diagnostic::choosing)
    }
}

/// A plugin whose functions are not those of the contract that it claims.
pub(super) fn misfit(contract: Version, why: &str) -> (String, String) {
    (
        format!("its functions do not fit contract {contract}: {why}"),
        "Build it with an unchanged sdk/wit.".to_owned(),
    )
}
