//! What went wrong, or is worth knowing, as plain data.

mod choice;
pub(crate) mod lossy;

pub use choice::Choice;

use serde::Serialize;
use std::ops::Range;
use std::path::{Path, PathBuf};

/// How many findings of one kind are told one by one, where a file may have any number of them.
pub(crate) const EACH: usize = 20;

/// How serious a diagnostic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Worth a look before sewing.
    Warning,
    /// Nothing is written.
    Error,
}

/// One thing to tell the user: what, where and what to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnostic {
    /// How serious it is.
    pub severity: Severity,
    /// A short stable name for scripts, such as `unknown-setting`.
    pub code: &'static str,
    /// What, as a sentence without a full stop.
    pub message: String,
    /// The file it is about.
    #[serde(
        skip_serializing_if = "Option::is_none",
        serialize_with = "lossy::perhaps"
    )]
    pub file: Option<PathBuf>,
    /// The bytes of the file it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<Range<usize>>,
    /// The line, from 1, where the range begins.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// The column in characters, from 1, where the range begins.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<usize>,
    /// The step it is about, such as `3 (region-fill)`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// The id of the object it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<String>,
    /// Where on the cloth, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<[f64; 2]>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
    /// What the help's last words ask to choose otherwise.
    #[serde(skip)]
    pub choice: Option<Choice>,
}

impl Diagnostic {
    /// An error: nothing is written.
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, message)
    }

    /// A warning: worth a look before sewing.
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, message)
    }

    /// A note: worth knowing.
    pub fn note(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, code, message)
    }

    /// A diagnostic of any severity.
    pub fn new(severity: Severity, code: &'static str, message: impl Into<String>) -> Self {
        Self {
            severity,
            code,
            message: legible(message.into()),
            file: None,
            range: None,
            line: None,
            column: None,
            step: None,
            object: None,
            place: None,
            help: None,
            choice: None,
        }
    }

    /// Tells how many more of a kind there are than are told one by one.
    pub(crate) fn more(severity: Severity, code: &'static str, count: usize) -> Self {
        let message = format!("and {count} more of the kind \"{code}\"");
        Self::new(severity, code, message)
    }

    /// Names the file it is about.
    #[must_use]
    pub fn in_file(mut self, file: &Path) -> Self {
        self.file = Some(file.to_owned());
        self
    }

    /// Points at `range` of the file whose text is `text`.
    #[must_use]
    pub fn at(mut self, text: &str, range: Range<usize>) -> Self {
        let start = range.start.min(text.len());
        let before = text.get(..start).unwrap_or(text);
        self.line = Some(before.matches('\n').count() + 1);
        self.column = Some(before.rsplit('\n').next().unwrap_or("").chars().count() + 1);
        self.range = Some(range);
        self
    }

    /// Names the step it is about.
    #[must_use]
    pub fn in_step(mut self, step: impl Into<String>) -> Self {
        self.step = Some(legible(step.into()));
        self
    }

    /// Names the object it is about.
    #[must_use]
    pub fn about(mut self, object: impl Into<String>) -> Self {
        self.object = Some(object.into());
        self
    }

    /// Says what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(legible(help.into()));
        self
    }

    /// Says what the help's last words ask to choose otherwise.
    #[must_use]
    pub fn choosing(mut self, choice: Choice) -> Self {
        self.choice = Some(choice);
        self
    }
}

/// So many problems of one file are told, and no more are looked for: nobody reads more at once, and a
/// file of many MiB in which nothing is right would keep the program busy for hours.
pub const MOST_TOLD: usize = 200;

/// Whether a character commands whoever shows or reads it: a terminal would obey it, it ends the line, or
/// it turns the order of what is read. In Unicode's words: the control characters (general category Cc, of
/// which C1 is a part), the other ends of lines (Zl and Zp), and those with the property Bidi_Control
/// (UAX #9, section 2).
pub fn commands(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Words as they may go to a terminal: what it would obey and not print is shown by its number, such as
/// `\u{1b}`. Names and values of a file stand in many messages, and may hold anything. Lines stay lines.
pub fn legible(words: String) -> String {
    escaped(words, |letter| commands(letter) && letter != '\n')
}

/// Words like [`legible`] that are to stay on one line, such as a name.
pub fn on_one_line(words: String) -> String {
    escaped(words, commands)
}

/// A path as it may go to a terminal, on one line.
pub fn path_in_words(path: &Path) -> String {
    on_one_line(path.display().to_string())
}

fn escaped(words: String, commands: fn(char) -> bool) -> String {
    if !words.contains(commands) {
        return words;
    }
    let mut legible = String::with_capacity(words.len() + 8);
    for letter in words.chars() {
        if commands(letter) {
            legible.extend(letter.escape_default());
        } else {
            legible.push(letter);
        }
    }
    legible
}

/// Why something could not be done: at least one error, and all that were found.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", first_message(.0))]
pub struct Failed(pub Vec<Diagnostic>);

impl Failed {
    /// The same after what was noticed before.
    #[must_use]
    pub fn after(self, mut noticed: Vec<Diagnostic>) -> Self {
        noticed.extend(self.0);
        Self(noticed)
    }
}

impl From<Diagnostic> for Failed {
    fn from(diagnostic: Diagnostic) -> Self {
        Self(vec![diagnostic])
    }
}

fn first_message(diagnostics: &[Diagnostic]) -> String {
    let mut errors = diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.severity == Severity::Error);
    let first = errors.next().map_or("", |error| error.message.as_str());
    match errors.count() {
        0 => first.to_owned(),
        more => format!("{first} (and {more} more)"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_file_cannot_command_a_terminal() {
        let told = Diagnostic::error("x", "no \u{1b}[31m, \u{9b}2J\r\nor owl\u{7f}")
            .help("a\tb")
            .in_step("1 (\u{7})");
        assert_eq!(told.message, "no \\u{1b}[31m, \\u{9b}2J\\r\nor owl\\u{7f}");
        assert_eq!(told.help.as_deref(), Some("a\\tb"));
        assert_eq!(told.step.as_deref(), Some("1 (\\u{7})"));
    }

    /// "exe.nahpro" after the mark for writing from the right would be read as "orphan.exe".
    #[test]
    fn words_of_a_file_do_not_change_the_order_of_what_is_read() {
        let told = Diagnostic::error("x", "no \u{202e}exe.nahpro, \u{2066}owl\u{2069}");
        assert_eq!(
            told.message,
            "no \\u{202e}exe.nahpro, \\u{2066}owl\\u{2069}"
        );
    }

    /// The twelve characters with the property Bidi_Control are those of Unicode's PropList.txt.
    #[test]
    fn what_commands_is_what_unicode_calls_so() {
        let turning = [
            '\u{61c}', '\u{200e}', '\u{200f}', '\u{202a}', '\u{202b}', '\u{202c}', '\u{202d}',
            '\u{202e}', '\u{2066}', '\u{2067}', '\u{2068}', '\u{2069}',
        ];
        for letter in [
            '\0', '\t', '\n', '\r', '\u{1b}', '\u{7f}', '\u{80}', '\u{9f}',
        ] {
            assert!(commands(letter), "{letter:?}");
        }
        for letter in turning.into_iter().chain(['\u{2028}', '\u{2029}']) {
            assert!(commands(letter), "{letter:?}");
        }
        for letter in [' ', '\u{a0}', 'é', '\u{200d}', '\u{2027}', '\u{202f}', '猫'] {
            assert!(!commands(letter), "{letter:?}");
        }
        let name = "barn\nowl\u{200f}".to_owned();
        assert_eq!(on_one_line(name), "barn\\nowl\\u{200f}");
    }
}
