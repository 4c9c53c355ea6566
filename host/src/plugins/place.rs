//! Where plugins lie, as people write it.

use serde::Serialize;
use std::convert::Infallible;
use std::fmt;
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// How the name of a plugin in a registry begins.
const REGISTRY: &str = "oci:";

/// Where one or more plugins lie.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A plugin's file, a pack, or a folder of plugins.
    Path(PathBuf),
    /// What was pulled from a registry under this reference, which is written without `oci:`.
    Registry(String),
}

impl Place {
    /// The same place for whoever wrote it in a file of `folder`.
    #[must_use]
    pub fn seen_from(self, folder: &Path) -> Self {
        match self {
            Self::Path(path) => Self::Path(folder.join(path)),
            other @ Self::Registry(_) => other,
        }
    }
}

impl FromStr for Place {
    type Err = Infallible;

    fn from_str(text: &str) -> Result<Self, Infallible> {
        Ok(match text.strip_prefix(REGISTRY) {
            Some(reference) => Self::Registry(reference.to_owned()),
            None => Self::Path(PathBuf::from(text)),
        })
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Path(path) => write!(f, "{}", path.display()),
            Self::Registry(reference) => write!(f, "{REGISTRY}{reference}"),
        }
    }
}

/// Where one plugin was found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// Built into the program, under this name.
    Stock(String),
    /// Read from this file.
    File(PathBuf),
    /// Read from a pack.
    Pack {
        /// The pack.
        pack: PathBuf,
        /// The plugin's path in it.
        inside: String,
    },
    /// Pulled from a registry under this reference, which is written without `oci:`.
    Registry(String),
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stock(name) => write!(f, "the stock step {name}"),
            Self::File(path) => write!(f, "the plugin {}", path.display()),
            Self::Pack { pack, inside } => {
                write!(f, "the plugin {inside} of the pack {}", pack.display())
            }
            Self::Registry(reference) => write!(f, "the plugin {REGISTRY}{reference}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_reads_back_as_it_is_told() {
        for text in ["steps/nudge.wasm", "oci:localhost:5000/barn/nudge:1.0.0"] {
            let Ok(place) = text.parse::<Place>();
            assert_eq!(place.to_string(), text);
        }
    }

    #[test]
    fn only_paths_are_seen_from_a_folder() {
        let seen = |text: &str| {
            let Ok(place) = text.parse::<Place>();
            place.seen_from(Path::new("shop")).to_string()
        };
        assert_eq!(
            seen("nudge.wasm"),
            Path::new("shop").join("nudge.wasm").display().to_string()
        );
        assert_eq!(seen("oci:a.example/b:1"), "oci:a.example/b:1");
    }
}
