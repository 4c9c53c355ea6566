//! Diagnostics on standard error.

use super::arguments::{Arguments, Telling};
use super::options::Options;
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use hoopwright::diagnostics::{Diagnostic, Severity, commands, on_one_line, path_in_words};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Lines around the place of a problem are shown only of files up to this size, in MiB.
const SHOWN_MIB: u64 = 16;

/// Tells diagnostics as the arguments ask for.
pub struct Teller {
    telling: Telling,
    notes: bool,
    options: Options,
    texts: BTreeMap<PathBuf, Option<String>>,
}

impl Teller {
    /// A teller for these arguments of a command.
    pub fn new(arguments: &Arguments, command: &str) -> Self {
        Self {
            telling: arguments.telling,
            notes: arguments.notes,
            options: Options::of(command),
            texts: BTreeMap::new(),
        }
    }

    /// Tells everything that is to be told, and how many notes were not.
    pub fn tell(&mut self, diagnostics: &[Diagnostic]) {
        let mut untold = 0;
        for diagnostic in diagnostics {
            if diagnostic.severity == Severity::Note && !self.notes {
                untold += 1;
                continue;
            }
            let diagnostic = self.in_options(diagnostic.clone());
            match self.telling {
                Telling::Json => {
                    // Plain strings and numbers always serialize.
                    let line = serde_json::to_string(&diagnostic).unwrap_or_default();
                    eprintln!("{line}");
                }
                Telling::People => eprintln!("{}", self.render(&diagnostic)),
            }
        }
        if untold > 0 && self.telling == Telling::People {
            let notes = if untold == 1 { "note" } else { "notes" };
            eprintln!("{untold} {notes} not shown; --notes shows them");
        }
    }

    /// What is told, with the options of the command that is run.
    pub fn in_options(&self, told: Diagnostic) -> Diagnostic {
        self.options.named(told)
    }

    /// Reads files anew when they are shown next: they may have changed.
    pub fn forget_texts(&mut self) {
        self.texts.clear();
    }

    fn render(&mut self, diagnostic: &Diagnostic) -> String {
        let level = match diagnostic.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Note => Level::NOTE,
        };
        let mut elements: Vec<Element<'_>> = Vec::new();
        let path = diagnostic.file.as_deref().map(path_in_words);
        match (path, &diagnostic.range, self.text(diagnostic)) {
            (Some(path), Some(range), Some(text)) => {
                let end = range.end.min(text.len());
                let span = range.start.min(end)..end;
                let marked = AnnotationKind::Primary.span(span);
                elements.push(Snippet::source(text).path(path).annotation(marked).into());
            }
            (Some(path), ..) => {
                let mut origin = Origin::path(path);
                if let (Some(line), Some(column)) = (diagnostic.line, diagnostic.column) {
                    origin = origin.line(line).char_column(column);
                }
                elements.push(origin.into());
            }
            _ => {}
        }
        if let Some(help) = &diagnostic.help {
            elements.push(Level::HELP.message(help).into());
        }
        let title = level.primary_title(title(diagnostic)).id(diagnostic.code);
        let group = Group::with_title(title).elements(elements);
        Renderer::styled().render(&[group])
    }

    fn text(&mut self, diagnostic: &Diagnostic) -> Option<String> {
        let file = diagnostic.file.as_ref()?;
        diagnostic.range.as_ref()?;
        self.texts
            .entry(file.clone())
            .or_insert_with(|| {
                let text = hoopwright::reading::read_text(file, SHOWN_MIB).ok();
                text.map(|text| quotable(&text))
            })
            .clone()
    }
}

/// The text of a file as its lines may be shown. Each character keeps its length in bytes, so that places
/// in it stay where they are; those of one byte are for the renderer, which has signs for them.
fn quotable(text: &str) -> String {
    let quotable = |letter: char| match letter.len_utf8() {
        2 if commands(letter) => '·',
        3 if commands(letter) => '\u{fffd}',
        _ => letter,
    };
    text.chars().map(quotable).collect()
}

/// The message, after the step, the object and the place that it is about.
fn title(diagnostic: &Diagnostic) -> String {
    let mut about = Vec::new();
    if let Some(step) = &diagnostic.step {
        about.push(format!("step {step}"));
    }
    if let Some(object) = &diagnostic.object {
        about.push(on_one_line(format!("object \"{object}\"")));
    }
    if let Some([x, y]) = diagnostic.place {
        about.push(format!("at {x:.1}, {y:.1} mm"));
    }
    if about.is_empty() {
        diagnostic.message.clone()
    } else {
        format!("{}: {}", about.join(", "), diagnostic.message)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// U+009B alone begins a terminal's commands, as ESC [ does (ECMA-48, section 5.4: CSI).
    #[test]
    fn a_quoted_line_commands_nothing_and_keeps_its_places() {
        let text = "{ \"\u{9b}31m\u{202e}a\u{61c}\u{200f}é\": 1 }";
        let quoted = quotable(text);
        assert_eq!(quoted, "{ \"·31m\u{fffd}a·\u{fffd}é\": 1 }");
        let places = |text: &str| text.char_indices().map(|(i, _)| i).collect::<Vec<_>>();
        assert_eq!(places(&quoted), places(text));
    }
}
