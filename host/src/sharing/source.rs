//! Where a locked plugin was found.

use crate::plugins::{Layer, Origin, Place};
use crate::registry::store::Store;
use crate::registry::{Digest, Reference};
use crate::sandbox::Plugin;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::path::Path;

/// Where a plugin was found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// Built into the program.
    BuiltIn,
    /// The user's own folder of steps, under this name.
    UserFolder(String),
    /// A file; its path is relative to the pipeline, with `/` between names.
    File(String),
    /// A pack; its path is relative to the pipeline, with `/` between names.
    Pack(String),
    /// A registry, by the reference that it was pulled with and the digest of what that meant, which the
    /// registry gives for ever: `HOST/NAME:TAG@sha256:…`.
    Registry(String),
}

impl Source {
    /// The reference that a plugin was pulled with, as it is written here and as it is meant.
    pub(super) fn reference(&self) -> Option<(&str, Reference)> {
        let Self::Registry(written) = self else {
            return None;
        };
        Some((written, parsed(written)?))
    }

    pub(super) fn of(plugin: &Plugin, layer: Option<Layer>, pipeline: &Path) -> Self {
        let from_here = |path: &Path| relative(path, pipeline.parent().unwrap_or(Path::new("")));
        match (&plugin.origin, layer) {
            (Origin::Stock(_), _) => Self::BuiltIn,
            (Origin::File(path), Some(Layer::User)) => {
                let name = path.file_name().unwrap_or_default();
                Self::UserFolder(name.to_string_lossy().into_owned())
            }
            (Origin::File(path), _) => Self::File(from_here(path)),
            (Origin::Pack { pack, .. }, _) => Self::Pack(from_here(pack)),
            (Origin::Registry(reference), _) => Self::Registry(for_ever(reference, plugin)),
        }
    }
}

/// The reference under which a plugin was pulled, with the digest of the manifest that it meant; as it was
/// written where the user's store does not tell that this plugin came by it.
fn for_ever(reference: &str, plugin: &Plugin) -> String {
    let told = || {
        let reference = parsed(reference)?;
        let store = Store::open_user().ok()?;
        let manifest = store.manifest(&reference).ok()??;
        let contents = store.contents(manifest).ok()??;
        let is_it = contents.plugin.digest == Digest::from(plugin.digest);
        is_it.then(|| reference.with(manifest).bare())
    };
    told().unwrap_or_else(|| reference.to_owned())
}

fn parsed(reference: &str) -> Option<Reference> {
    let place = Place::Registry(reference.to_owned());
    place.to_string().parse().ok()
}

/// The path of `file` as seen from `folder`, with `/` between names, so that it is the same wherever
/// both lie.
fn relative(file: &Path, folder: &Path) -> String {
    let real = |path: &Path| {
        let path = if path.as_os_str().is_empty() {
            Path::new(".")
        } else {
            path
        };
        path.canonicalize().unwrap_or_else(|_| path.to_owned())
    };
    // The file's own name is kept, also where it is a link.
    let file =
        real(file.parent().unwrap_or(Path::new(""))).join(file.file_name().unwrap_or_default());
    let folder = real(folder);
    let same = file
        .components()
        .zip(folder.components())
        .take_while(|(a, b)| a == b)
        .count();
    let up = folder.components().skip(same).map(|_| "..".to_owned());
    let down = file.components().skip(same);
    let down = down.map(|name| name.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BuiltIn => write!(f, "built in"),
            Self::UserFolder(name) => write!(f, "{name} in the user's folder of steps"),
            Self::File(path) => write!(f, "{path}"),
            Self::Pack(path) => write!(f, "the pack {path}"),
            Self::Registry(reference) => write!(f, "{reference}"),
        }
    }
}
