//! The order of the places where steps are found.

use serde::Serialize;

/// Where steps are looked for, in this order. A step found in a later layer stands in for one of the
/// same name in an earlier; two of one name in the same layer are an error, because nothing would say
/// which is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layer {
    /// Built into the program.
    BuiltIn,
    /// The user's own folder of steps, for all pipelines.
    User,
    /// The folder `steps` beside the pipeline.
    Project,
    /// What the pipeline itself names in `plugins`.
    Pipeline,
    /// What was given for this run alone.
    Given,
}

impl Layer {
    /// The layer in a few words, as they follow "from".
    pub fn words(self) -> &'static str {
        match self {
            Self::BuiltIn => "the program",
            Self::User => "your own folder",
            Self::Project => "the project's folder",
            Self::Pipeline => "the pipeline's list",
            Self::Given => "what was given",
        }
    }
}
