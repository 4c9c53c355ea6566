//! Why a command ends early.

use hoopwright::diagnostics::{Diagnostic, Failed};

/// Why a command ends early.
pub enum Stop {
    /// Something that was given is wrong.
    Input(Vec<Diagnostic>),
    /// An output cannot be written.
    Output(Diagnostic),
    /// Findings hold the file back.
    Held(Diagnostic),
    /// All has been told already; the program ends with this code.
    Told(u8),
}

impl From<Failed> for Stop {
    fn from(Failed(diagnostics): Failed) -> Self {
        Self::Input(diagnostics)
    }
}

impl From<Diagnostic> for Stop {
    fn from(diagnostic: Diagnostic) -> Self {
        Self::Input(vec![diagnostic])
    }
}
