//! Findings that hold a file back.

use crate::diagnostics::{Choice, Diagnostic, Severity};

/// From which severity on findings hold a file back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HoldAt {
    /// Any finding.
    Note,
    /// Warnings and errors.
    Warning,
    /// Errors.
    #[default]
    Error,
    /// None: the findings are only told.
    Never,
}

impl HoldAt {
    /// Why the file is held back, where one of `findings` is so grave; `what` says what is held.
    pub fn hold<'a>(
        self,
        findings: impl IntoIterator<Item = &'a Diagnostic>,
        what: &str,
    ) -> Option<Diagnostic> {
        let least = match self {
            Self::Note => Severity::Note,
            Self::Warning => Severity::Warning,
            Self::Error => Severity::Error,
            Self::Never => return None,
        };
        let findings = findings.into_iter();
        let holding = findings.filter(|finding| finding.severity >= least).count();
        let findings = match (holding, least) {
            (0, _) => return None,
            (1, Severity::Error) => "1 error".to_owned(),
            (_, Severity::Error) => format!("{holding} errors"),
            (1, _) => "1 finding".to_owned(),
            (_, _) => format!("{holding} findings"),
        };
        let held = Diagnostic::error("held-back", format!("{what}, because of {findings}"));
        let help = "Correct what the findings name. Limits of your own stand in the machine's profile, and \
                    from which severity on findings hold a file back can be chosen.";
        Some(held.help(help).choosing(Choice::HoldAt))
    }
}
