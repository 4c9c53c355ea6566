//! From which severity on findings hold files back, as an option.

use clap::ValueEnum;
use hoopwright::job::HoldAt;

/// The severities by their names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum HoldAtName {
    /// Any finding.
    Note,
    /// Warnings and errors.
    Warning,
    /// Errors.
    Error,
    /// None: the findings are only told.
    Never,
}

impl From<HoldAtName> for HoldAt {
    fn from(name: HoldAtName) -> Self {
        match name {
            HoldAtName::Note => Self::Note,
            HoldAtName::Warning => Self::Warning,
            HoldAtName::Error => Self::Error,
            HoldAtName::Never => Self::Never,
        }
    }
}
