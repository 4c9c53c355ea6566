//! Findings that hold a file back.

use super::arguments::HoldAt;
use super::stop::Stop;
use hoopwright::diagnostics::{Diagnostic, Severity};

/// Stops where a finding is as grave as `hold_at` or graver.
///
/// # Errors
/// How many findings hold the file back; `what` says what is held.
pub fn hold<'a>(
    findings: impl IntoIterator<Item = &'a Diagnostic>,
    hold_at: HoldAt,
    what: &str,
) -> Result<(), Stop> {
    let least = match hold_at {
        HoldAt::Note => Severity::Note,
        HoldAt::Warning => Severity::Warning,
        HoldAt::Error => Severity::Error,
        HoldAt::Never => return Ok(()),
    };
    let holding = findings
        .into_iter()
        .filter(|finding| finding.severity >= least)
        .count();
    if holding == 0 {
        return Ok(());
    }
    let findings = match (holding, least) {
        (1, Severity::Error) => "1 error".to_owned(),
        (_, Severity::Error) => format!("{holding} errors"),
        (1, _) => "1 finding".to_owned(),
        (_, _) => format!("{holding} findings"),
    };
    let held = Diagnostic::error("held-back", format!("{what}, because of {findings}"));
    Err(Stop::Held(held.help(
        "Correct what the findings name; limits of your own stand in the machine's profile, and --hold-at sets what holds a file back.",
    )))
}
