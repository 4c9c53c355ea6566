//! A file of steps with taken settings filled in, which still knows where each value was written.

use super::selection::EMPTY_RANGE;
use crate::diagnostics::Diagnostic;
use crate::json::{Document, escape};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

/// A value for a taken setting, and where it was written.
#[derive(Clone)]
pub(super) struct Given {
    pub value: Value,
    pub written: Written,
}

/// A place in a file.
#[derive(Clone)]
pub(super) struct Written {
    pub document: Arc<Document>,
    pub range: Range<usize>,
}

/// A file of steps as it is checked and run: each `{ "taken": … }` is replaced by its value.
pub(super) struct Filled {
    /// The file as written.
    pub raw: Arc<Document>,
    /// With values filled in; the places are those of the file as written.
    pub document: Document,
    holes: Vec<Hole>,
}

/// A `{ "taken": … }`.
struct Hole {
    name: String,
    /// Where it stands, as a JSON Pointer (RFC 6901).
    pointer: String,
    range: Range<usize>,
    /// Where its value was written, where there is one.
    written: Option<Written>,
}

/// The name of the taken setting that a value stands for, if it stands for one.
pub(super) fn taken_name(value: &Value) -> Option<&str> {
    let object = value.as_object()?;
    match object.get("taken") {
        Some(Value::String(name)) if object.len() == 1 => Some(name),
        _ => None,
    }
}

impl Filled {
    /// Fills in what is `given`; what is not stays as it is.
    pub fn new(raw: &Arc<Document>, given: &BTreeMap<String, Given>) -> Self {
        let mut document = Document::clone(raw);
        let mut holes = Vec::new();
        let steps = document
            .value
            .get_mut("steps")
            .and_then(Value::as_array_mut);
        for (i, step) in steps.into_iter().flatten().enumerate() {
            for within in ["on", "settings"] {
                let entries = step.get_mut(within).and_then(Value::as_object_mut);
                for (name, value) in entries.into_iter().flatten() {
                    let pointer = format!("/steps/{i}/{within}/{}", escape(name));
                    fill(value, pointer, raw, given, &mut holes);
                }
            }
        }
        Self {
            raw: Arc::clone(raw),
            document,
            holes,
        }
    }

    /// The names of all settings that the steps use.
    pub fn used(&self) -> BTreeSet<String> {
        self.holes.iter().map(|hole| hole.name.clone()).collect()
    }

    /// Names of settings that the steps use, each with its place in the file.
    pub fn uses(&self) -> impl Iterator<Item = (&str, Range<usize>)> {
        self.holes.iter().map(|hole| {
            let name = self.raw.value_range(&format!("{}/taken", hole.pointer));
            (hole.name.as_str(), name)
        })
    }

    /// Where the value at a pointer was written: in the file that gave it, if it was taken.
    pub fn written(&self, pointer: &str) -> Option<Written> {
        match self.holes.iter().find(|hole| hole.pointer == pointer) {
            Some(hole) => hole.written.clone(),
            None => Some(Written {
                document: Arc::clone(&self.raw),
                range: self.raw.value_range(pointer),
            }),
        }
    }

    /// Points a problem with a value that was taken at where the value was written. A problem with one
    /// that is not known is none: that it is not known has been told.
    pub fn trace(&self, problem: Diagnostic) -> Option<Diagnostic> {
        let Some(range) = &problem.range else {
            return Some(problem);
        };
        if problem.file.as_deref() != Some(&*self.raw.file) {
            return Some(problem);
        }
        // A range of a measure is one value of two; that of a hole is the hole's own.
        let holes: Vec<&Hole> = match problem.code {
            EMPTY_RANGE => {
                let inside =
                    |hole: &&Hole| range.start <= hole.range.start && hole.range.end <= range.end;
                self.holes.iter().filter(inside).collect()
            }
            _ => self
                .holes
                .iter()
                .filter(|hole| hole.range == *range)
                .collect(),
        };
        let Some(hole) = holes.first() else {
            return Some(problem);
        };
        let written = hole.written.as_ref()?;
        let line = self.raw.text.get(..hole.range.start).unwrap_or_default();
        let line = line.matches('\n').count() + 1;
        let into = hole.pointer.rsplit('/').next().unwrap_or_default();
        let file = self
            .raw
            .file
            .file_name()
            .unwrap_or_default()
            .to_string_lossy();
        let way = format!("Line {line} of {file} puts it into \"{into}\".");
        let help = match &problem.help {
            Some(help) => format!("{help} {way}"),
            None => way,
        };
        let problem = written.document.point(problem, written.range.clone());
        Some(problem.help(help))
    }
}

fn fill(
    value: &mut Value,
    pointer: String,
    raw: &Document,
    given: &BTreeMap<String, Given>,
    holes: &mut Vec<Hole>,
) {
    if let Some(name) = taken_name(value).map(str::to_owned) {
        let given = given.get(&name);
        if let Some(given) = given {
            *value = given.value.clone();
        }
        holes.push(Hole {
            range: raw.value_range(&pointer),
            written: given.map(|given| given.written.clone()),
            name,
            pointer,
        });
        return;
    }
    match value {
        Value::Object(object) => {
            for (name, inner) in object {
                let pointer = format!("{pointer}/{}", escape(name));
                fill(inner, pointer, raw, given, holes);
            }
        }
        Value::Array(several) => {
            for (i, inner) in several.iter_mut().enumerate() {
                fill(inner, format!("{pointer}/{i}"), raw, given, holes);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use std::path::Path;

    const PART: &str = r#"{"steps": [
      {"step": "a", "on": {"width": {"from": {"taken": "least"}, "under": 7}}},
      {"step": "b", "settings": {"taken": "not a hole", "deep": [{"in": {"taken": "x"}}],
                                 "wide": {"taken": "x", "more": 1}}}]}"#;

    fn document(file: &str, text: &str) -> Arc<Document> {
        Arc::new(Document::parse(Path::new(file), text.to_owned()).expect("JSON"))
    }

    fn filled(given: &[(&str, Value)]) -> Filled {
        let outer = document("outer.json", r#"{"written": 1}"#);
        let given = given.iter().map(|(name, value)| {
            let written = Written {
                range: outer.value_range("/written"),
                document: Arc::clone(&outer),
            };
            (
                (*name).to_owned(),
                Given {
                    value: value.clone(),
                    written,
                },
            )
        });
        Filled::new(&document("part.json", PART), &given.collect())
    }

    #[test]
    fn values_are_filled_in_and_the_rest_stays() {
        let filled = filled(&[("least", json!(5)), ("x", json!("thread"))]);
        let value = &filled.document.value;
        assert_eq!(
            value["steps"][0]["on"]["width"],
            json!({"from": 5, "under": 7})
        );
        let settings = &value["steps"][1]["settings"];
        assert_eq!(settings["taken"], "not a hole");
        assert_eq!(settings["deep"], json!([{"in": "thread"}]));
        assert_eq!(settings["wide"], json!({"taken": "x", "more": 1}));
        assert_eq!(
            filled.used().into_iter().collect::<Vec<_>>(),
            ["least", "x"]
        );
    }

    #[test]
    fn a_problem_with_a_value_leads_to_where_it_was_written() {
        let filled = filled(&[("least", json!(9))]);
        let at = |pointer: &str, code| {
            let problem = Diagnostic::error(code, "wrong").help("Mend it.");
            filled
                .document
                .point(problem, filled.document.value_range(pointer))
        };
        for (pointer, code) in [
            ("/steps/0/on/width/from", "out-of-range"),
            // Nothing is at least 9 and less than 7.
            ("/steps/0/on/width", EMPTY_RANGE),
        ] {
            let traced = filled
                .trace(at(pointer, code))
                .expect("it was written somewhere");
            assert_eq!(traced.file.as_deref(), Some(Path::new("outer.json")));
            assert_eq!(traced.column, Some(13));
            assert_eq!(
                traced.help.as_deref(),
                Some("Mend it. Line 2 of part.json puts it into \"from\".")
            );
        }
        // Of what is not known, nothing can be said; whatever else is wrong is the part's own.
        assert_eq!(
            filled.trace(at("/steps/1/settings/deep/0/in", "wrong-type")),
            None
        );
        let own = at("/steps/1/step", "unknown-step");
        assert_eq!(filled.trace(own.clone()), Some(own));
    }
}
