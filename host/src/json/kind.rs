//! What kind of file a JSON text is, by the names in it: a file that was given in the place of another is
//! told in one sentence, where each of its names would be a mistake.

use super::Document;
use crate::diagnostics::Diagnostic;
use serde_json::Value;

/// The kinds of files that people write and hand to a command or name in a pipeline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A routine.
    Pipeline,
    /// Steps that several pipelines share.
    Part,
    /// A design as JSON.
    Design,
    /// A shop's threads.
    Rack,
    /// A machine's profile.
    Machine,
}

/// The names that tell a kind, where no kind above has told it. A machine's profile may leave every name out.
const TOLD_BY: [(FileKind, &[&str]); 5] = [
    (FileKind::Part, &["takes"]),
    (FileKind::Pipeline, &["steps"]),
    (FileKind::Design, &["objects"]),
    (FileKind::Rack, &["threads"]),
    (
        FileKind::Machine,
        &[
            "hoops",
            "needles",
            "field",
            "trim-jumps",
            "longest-move",
            "sewn-gap",
            "speed",
            "speed-by-length",
            "seconds-per-trim",
            "seconds-per-thread-change",
            "limits",
        ],
    ),
];

impl FileKind {
    /// What the file is, where a name tells.
    fn of(value: &Value) -> Option<Self> {
        let has = |names: &[&str]| names.iter().any(|name| value.get(name).is_some());
        let told = TOLD_BY.iter().find(|(_, names)| has(names));
        told.map(|(kind, _)| *kind)
    }

    /// The name without which a file is none of this kind.
    fn made_by(self) -> Option<&'static str> {
        match self {
            Self::Pipeline | Self::Part => Some("steps"),
            Self::Design => Some("objects"),
            Self::Rack => Some("threads"),
            Self::Machine => None,
        }
    }

    /// What is wrong with a file in the place of one of this kind, where it lacks the name that makes this
    /// kind and has another's.
    pub fn mistaken(self, document: &Document) -> Option<Diagnostic> {
        let is = Self::of(&document.value).filter(|is| *is != self)?;
        let words = match self.made_by() {
            // Whatever other names it has, it was meant as what it should be.
            Some(name) if document.value.get(name).is_some() => return None,
            Some(name) => format!("this is {is}; {self} has \"{name}\""),
            None => format!("this is {is}, where {self} belongs"),
        };
        let mistaken = Diagnostic::error("another-kind", words).help(is.place());
        Some(document.point(mistaken, 0..0))
    }

    /// Where a file of the kind belongs.
    fn place(self) -> &'static str {
        match self {
            Self::Pipeline => "A pipeline is given to a command by itself, before its artwork.",
            Self::Part => "Name it in the steps of a pipeline: { \"part\": \"…\" }.",
            Self::Design => "A design stands in the place of artwork, after the pipeline.",
            Self::Rack => "Name it in a pipeline: \"rack\": \"…\".",
            Self::Machine => "Name it in a pipeline: \"machine\": \"…\".",
        }
    }
}

impl std::fmt::Display for FileKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Pipeline => "a pipeline",
            Self::Part => "a part",
            Self::Design => "a design",
            Self::Rack => "a thread rack",
            Self::Machine => "a machine's profile",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const ALL: [(FileKind, &str); 5] = [
        (
            FileKind::Pipeline,
            r#"{"title": "a", "machine": "m.json", "steps": []}"#,
        ),
        (
            FileKind::Part,
            r#"{"title": "a", "takes": {}, "steps": []}"#,
        ),
        (
            FileKind::Design,
            r#"{"title": "a", "threads": [], "objects": []}"#,
        ),
        (FileKind::Rack, r#"{"name": "a", "threads": []}"#),
        (FileKind::Machine, r#"{"name": "a", "speed": 800}"#),
    ];

    fn mistaken(wanted: FileKind, text: &str) -> Option<String> {
        let document = Document::parse(Path::new("a.json"), text.to_owned()).expect("JSON");
        wanted.mistaken(&document).map(|told| told.message)
    }

    #[test]
    fn each_kind_is_told_in_the_place_of_another_and_never_in_its_own() {
        for (wanted, own) in ALL {
            assert_eq!(mistaken(wanted, own), None, "{wanted}");
            for (is, text) in ALL.into_iter().filter(|(_, text)| *text != own) {
                // Both have steps, and a design has threads as a rack has.
                let has_it = matches!(
                    (wanted, is),
                    (FileKind::Pipeline, FileKind::Part)
                        | (FileKind::Part, FileKind::Pipeline)
                        | (FileKind::Rack, FileKind::Design)
                );
                let told = mistaken(wanted, text)
                    .is_some_and(|told| told.starts_with(&format!("this is {is}")));
                assert_eq!(told, !has_it, "{is} as {wanted}");
            }
        }
        assert_eq!(mistaken(FileKind::Part, r#"{"takes": {}}"#), None);
        assert_eq!(
            mistaken(FileKind::Pipeline, ALL[4].1).as_deref(),
            Some("this is a machine's profile; a pipeline has \"steps\"")
        );
    }

    #[test]
    fn what_tells_nothing_is_left_to_the_rules_of_its_place() {
        for text in ["{}", "[]", "1", r#"{"title": "a"}"#, r#"{"name": "a"}"#] {
            for (wanted, _) in ALL {
                assert_eq!(mistaken(wanted, text), None, "{text} as {wanted}");
            }
        }
    }
}
