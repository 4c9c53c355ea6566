//! What must hold of everything that is told: it can be read, and points into the file.

use hoopwright::design::{Design, valid};
use hoopwright::diagnostics::{Diagnostic, Failed, Severity};
use std::path::Path;

/// What is wrong with the words of a refusal of the file `file`, whose text is `text`: there must be an
/// error, and all that holds of what is noticed must hold of it.
pub fn refusal(failed: &Failed, file: &Path, text: &str) -> Vec<String> {
    let mut wrongs = all(&failed.0, file, text);
    if !failed.0.iter().any(|told| told.severity == Severity::Error) {
        wrongs.push("it is refused without an error".to_owned());
    }
    wrongs
}

/// The same of a refusal that must say where in the file each error stands.
pub fn placed_refusal(failed: &Failed, file: &Path, text: &str) -> Vec<String> {
    let mut wrongs = refusal(failed, file, text);
    for told in &failed.0 {
        let here = told.file.as_deref().is_none_or(|named| named == file);
        if here && (told.line.is_none() || told.column.is_none()) {
            wrongs.push(format!("no line and column: {told:?}"));
        }
    }
    wrongs
}

/// What is wrong with the words of what was noticed.
pub fn all(told: &[Diagnostic], file: &Path, text: &str) -> Vec<String> {
    told.iter()
        .flat_map(|told| {
            let wrongs = one(told, file, text).into_iter();
            wrongs.map(move |wrong| format!("{wrong}: {told:?}"))
        })
        .collect()
}

fn one(told: &Diagnostic, file: &Path, text: &str) -> Vec<&'static str> {
    let mut wrongs = Vec::new();
    if told.message.trim().is_empty() {
        wrongs.push("a message without words");
    }
    if told.code == "internal" {
        wrongs.push("a fault of the program itself");
    }
    let said = [Some(&told.message), told.step.as_ref(), told.help.as_ref()];
    if said
        .into_iter()
        .flatten()
        .any(|words| words.chars().any(plays_tricks))
    {
        wrongs.push("control characters");
    }
    if told
        .place
        .is_some_and(|place| !place.iter().all(|v| v.is_finite()))
    {
        wrongs.push("a place that is nowhere");
    }
    if told.file.as_deref() == Some(file)
        && let Some(range) = &told.range
    {
        let on_letters = text.is_char_boundary(range.start) && text.is_char_boundary(range.end);
        if range.start > range.end || range.end > text.len() || !on_letters {
            wrongs.push("a range that is none of the file");
        } else if (told.line, told.column) != line_and_column(text, range.start) {
            wrongs.push("another line and column than the range's");
        }
    }
    if serde_json::to_string(told).is_err() {
        wrongs.push("it cannot be written as JSON");
    }
    wrongs
}

/// Counted one letter after the other, unlike the program does it.
fn line_and_column(text: &str, at: usize) -> (Option<usize>, Option<usize>) {
    let (mut line, mut column) = (1, 1);
    for (place, letter) in text.char_indices() {
        if place >= at {
            break;
        }
        if letter == '\n' {
            line += 1;
            column = 1;
        } else {
            column += 1;
        }
    }
    (Some(line), Some(column))
}

/// What a terminal would not print, but obey. Words may have several lines.
fn plays_tricks(letter: char) -> bool {
    letter.is_control() && letter != '\n'
}

/// What is wrong with a reason, which is told in a message.
pub fn reason(why: &str) -> Vec<String> {
    let told = Diagnostic::error("refused", why);
    all(&[told], Path::new(""), "")
}

/// What is wrong with a design that was read.
pub fn design(design: &Design) -> Vec<String> {
    let mut wrongs = valid::problems(design);
    if design.objects.is_empty() {
        wrongs.push("a design without objects".to_owned());
    }
    wrongs
}
