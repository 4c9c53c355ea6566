//! How much a fabric pulls.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The kind of fabric that is sewn on.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Fabric {
    /// Firmly woven: twill, canvas, shirting. Pulls 0.15 mm on each side.
    #[default]
    Woven,
    /// Piqué and other knits. Pulls 0.28 mm on each side.
    Pique,
    /// Fleece. Pulls 0.38 mm on each side.
    Fleece,
    /// Terry. Pulls 0.45 mm on each side.
    Terry,
}

impl Fabric {
    /// How far the ends of stitches come in on each side, in mm: the middle of what common practice
    /// adds as pull compensation, 0.1-0.2 on woven, 0.2-0.35 on piqué, 0.35-0.4 on fleece, 0.4-0.5
    /// on terry. (Common practice, no source.)
    pub fn pull(self) -> f64 {
        match self {
            Self::Woven => 0.15,
            Self::Pique => 0.275,
            Self::Fleece => 0.375,
            Self::Terry => 0.45,
        }
    }

    /// The name in files and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Woven => "woven",
            Self::Pique => "pique",
            Self::Fleece => "fleece",
            Self::Terry => "terry",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: the ranges of pull compensation per side.
    #[test]
    fn the_pull_lies_within_the_usual_compensation() {
        for (fabric, range) in [
            (Fabric::Woven, 0.1..=0.2),
            (Fabric::Pique, 0.2..=0.35),
            (Fabric::Fleece, 0.35..=0.4),
            (Fabric::Terry, 0.4..=0.5),
        ] {
            assert!(range.contains(&fabric.pull()), "{}", fabric.name());
            assert_eq!(serde_json::to_value(fabric).expect("a name"), fabric.name());
        }
    }
}
