//! What a plugin says of itself, and how much it may say.

use super::bindings::messages::Description;
use super::session::harmless;

/// The longest version, in bytes.
pub const VERSION: usize = 64;
/// The longest summary, in bytes.
pub const SUMMARY: usize = 1_000;
/// The longest manual, in KiB.
pub const MANUAL_KIB: usize = 256;
/// The longest name, in bytes.
pub const NAME: usize = 64;

/// A description whose words may be shown to anyone.
///
/// # Errors
/// A sentence that says what is wrong with it, and one that says what to do.
pub(super) fn checked(description: Description) -> Result<Description, (String, String)> {
    if !is_step_name(&description.name) {
        let shown: String = description.name.chars().take(NAME).collect();
        return Err((
            format!(
                "its step name \"{}\" is not lower-case words joined by hyphens, {NAME} letters at \
                 most",
                shown.escape_debug()
            ),
            "Rename the step in the plugin.".to_owned(),
        ));
    }
    for (what, text, most) in [
        ("version", &description.version, VERSION),
        ("summary", &description.summary, SUMMARY),
        ("manual", &description.manual, MANUAL_KIB << 10),
    ] {
        if text.len() > most {
            return Err((
                format!(
                    "its {what} is {} bytes long, and the limit is {most} bytes",
                    text.len()
                ),
                "Shorten it in the plugin.".to_owned(),
            ));
        }
    }
    let line = |text: &str| harmless(text).replace('\n', " ");
    Ok(Description {
        version: line(&description.version),
        summary: line(&description.summary),
        manual: harmless(&description.manual),
        ..description
    })
}

fn is_step_name(name: &str) -> bool {
    let word = |word: &str| {
        !word.is_empty()
            && word
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
    };
    name.len() <= NAME && name.split('-').all(word)
}
