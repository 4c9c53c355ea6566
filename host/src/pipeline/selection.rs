//! Which objects a step may touch.

use super::measures::Measures;
use crate::design::{Design, Object, Shape};
use crate::diagnostics::Diagnostic;
use crate::json::{
    Document,
    nearest::{did_you_mean, nearest},
};
use crate::rack::{Colour, Rack};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeSet;

/// The code of a range that holds nothing. A selection's is told at the range, of which either end may be taken.
pub(super) const EMPTY_RANGE: &str = "empty-range";

/// Which objects a step acts on. All that is given must hold; what is not given is not asked.
/// An empty selection takes every object.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct Selection {
    /// Objects with this tag: an id, class or group of the artwork, or a tag that a step has set.
    /// `*` stands for any letters.
    #[schemars(with = "String")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tag: Option<String>,
    /// Objects with this name. `*` stands for any letters.
    #[schemars(with = "String")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Objects sewn in the thread with this code or name on the rack.
    #[schemars(with = "String")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// Objects of this CSS colour in the artwork or in thread, such as "#5a4632".
    #[schemars(with = "String")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Objects whose shape is of this kind.
    #[schemars(with = "ShapeKind")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<ShapeKind>,
    /// Objects of this width in mm: of a region the largest circle inside it, of lines the drawn width.
    #[schemars(with = "Between")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Between>,
    /// Objects of this mean width in mm: of a region twice its area by the length of its edge, which where
    /// strokes meet does not grow as the largest circle does; of lines the drawn width.
    #[schemars(with = "Between")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_width: Option<Between>,
    /// Objects of this area in mm²: of lines, their length times their width.
    #[schemars(with = "Between")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area: Option<Between>,
    /// Lines of this length in mm, all paths of the object together. Regions have none.
    #[schemars(with = "Between")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length: Option<Between>,
    /// Objects that have stitches already (true) or have none yet (false).
    #[schemars(with = "bool")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sewn: Option<bool>,
    /// Objects that all of these take.
    #[schemars(with = "Vec<Selection>")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub all: Option<Vec<Selection>>,
    /// Objects that at least one of these takes.
    #[schemars(with = "Vec<Selection>")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub any: Option<Vec<Selection>>,
    /// Objects that this does not take.
    #[schemars(with = "Selection")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not: Option<Box<Selection>>,
}

/// The kinds of shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ShapeKind {
    /// Filled areas.
    Region,
    /// Lines drawn with a width.
    Lines,
    /// Stitches placed by hand or read from a machine file.
    Manual,
}

/// A range of a measure.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct Between {
    /// At least this much.
    #[schemars(with = "f64")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<f64>,
    /// Less than this.
    #[schemars(with = "f64")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub under: Option<f64>,
}

impl Between {
    fn holds(self, measure: Option<f64>) -> bool {
        measure.is_some_and(|measure| {
            self.from.is_none_or(|from| measure >= from)
                && self.under.is_none_or(|under| measure < under)
        })
    }
}

impl Selection {
    /// The places of the objects of `design` that it takes, in rising order.
    pub fn places(&self, design: &Design) -> Vec<usize> {
        self.places_with(design, &mut Measures::default())
    }

    /// The same, with measures kept from one call to the next.
    pub(super) fn places_with(&self, design: &Design, measures: &mut Measures) -> Vec<usize> {
        (0..design.objects.len())
            .filter(|&place| self.takes(&design.objects[place], design, measures))
            .collect()
    }

    /// Whether it takes `object` of `design`.
    fn takes(&self, object: &Object, design: &Design, measures: &mut Measures) -> bool {
        let holds = |pattern: &Option<String>, text: &str| {
            pattern
                .as_deref()
                .is_none_or(|pattern| matches(pattern, text))
        };
        self.tag
            .as_deref()
            .is_none_or(|pattern| object.tags.iter().any(|tag| matches(pattern, tag)))
            && holds(&self.name, &object.name)
            && self.thread.as_deref().is_none_or(|wanted| {
                design
                    .threads
                    .get(object.thread as usize)
                    .is_some_and(|thread| thread.code == wanted || thread.name == wanted)
            })
            && self
                .colour
                .as_deref()
                .is_none_or(|wanted| of_colour(object, design, wanted))
            && self.shape.is_none_or(|kind| kind == kind_of(&object.shape))
            && self.sewn.is_none_or(|sewn| sewn == object.is_sewn())
            && self
                .width
                .is_none_or(|range| range.holds(measures.width(object)))
            && self
                .mean_width
                .is_none_or(|range| range.holds(measures.mean_width(object)))
            && self
                .area
                .is_none_or(|range| range.holds(measures.area(object)))
            && self
                .length
                .is_none_or(|range| range.holds(measures.length(object)))
            && self
                .all
                .iter()
                .flatten()
                .all(|one| one.takes(object, design, measures))
            && self.any.as_ref().is_none_or(|several| {
                several
                    .iter()
                    .any(|one| one.takes(object, design, measures))
            })
            && self
                .not
                .as_ref()
                .is_none_or(|one| !one.takes(object, design, measures))
    }

    /// Why nothing was taken, where that is a tag, name or thread that no object has.
    pub(super) fn stranger(&self, design: &Design) -> Option<Stranger> {
        let tags = |design: &Design| -> BTreeSet<String> {
            design
                .objects
                .iter()
                .flat_map(|object| object.tags.clone())
                .collect()
        };
        let hint = |what: &str, wanted: &Option<String>, known: BTreeSet<String>| {
            let wanted = wanted.as_deref()?;
            (!known.iter().any(|one| matches(wanted, one))).then(|| {
                let known = || known.iter().map(String::as_str);
                let near = did_you_mean(wanted, known());
                Stranger {
                    hint: format!("No object has the {what} \"{wanted}\". {near}"),
                    is_a_slip: nearest(wanted, known()).is_some(),
                }
            })
        };
        let names = |design: &Design| {
            design
                .objects
                .iter()
                .map(|object| object.name.clone())
                .collect()
        };
        let threads = |design: &Design| {
            let words = design
                .threads
                .iter()
                .flat_map(|thread| [&thread.code, &thread.name]);
            words.filter(|word| !word.is_empty()).cloned().collect()
        };
        hint("tag", &self.tag, tags(design))
            .or_else(|| hint("name", &self.name, names(design)))
            .or_else(|| hint("thread", &self.thread, threads(design)))
            .or_else(|| {
                let parts = self.all.iter().flatten().chain(self.any.iter().flatten());
                parts.filter_map(|one| one.stranger(design)).next()
            })
    }
}

/// A tag, name or thread that no object has.
pub(super) struct Stranger {
    /// What it is, and what it may have meant.
    pub hint: String,
    /// Whether it is nearly one that there is: mistyped, most likely. A routine for many artworks names
    /// tags that some of them do not have.
    pub is_a_slip: bool,
}

/// What in a selection can be seen to be wrong before anything runs, and no schema tells: colours
/// that are none, threads that the rack does not have, ranges that hold nothing. It stands at
/// `pointer` in the document, and need not be sound otherwise.
pub(super) fn problems(document: &Document, pointer: &str, rack: Option<&Rack>) -> Vec<Diagnostic> {
    let at = |pointer: &str| document.value.pointer(pointer);
    let mut problems = Vec::new();
    let colour = format!("{pointer}/colour");
    if let Some(text) = at(&colour).and_then(Value::as_str)
        && Colour::parse(text).is_none()
    {
        let wrong = Diagnostic::error("not-a-colour", format!("\"{text}\" is not a CSS colour"))
            .help("Write it like \"#5a4632\".");
        problems.push(document.point(wrong, document.value_range(&colour)));
    }
    let thread = format!("{pointer}/thread");
    if let (Some(wanted), Some(rack)) = (at(&thread).and_then(Value::as_str), rack)
        && let Some(unknown) = unknown_thread(wanted, rack)
    {
        problems.push(document.point(unknown, document.value_range(&thread)));
    }
    for measure in ["width", "mean-width", "area", "length"] {
        let measure = format!("{pointer}/{measure}");
        let bound = |name: &str| at(&format!("{measure}/{name}")).and_then(Value::as_f64);
        if let (Some(from), Some(under)) = (bound("from"), bound("under"))
            && from >= under
        {
            let wrong = Diagnostic::error(
                EMPTY_RANGE,
                format!("nothing is at least {from} and less than {under}"),
            );
            problems.push(document.point(wrong, document.value_range(&measure)));
        }
    }
    for several in ["all", "any"] {
        let several = format!("{pointer}/{several}");
        let parts = at(&several).and_then(Value::as_array).map_or(0, Vec::len);
        let part = |i| self::problems(document, &format!("{several}/{i}"), rack);
        problems.extend((0..parts).flat_map(part));
    }
    let not = format!("{pointer}/not");
    if at(&not).is_some() {
        problems.extend(self::problems(document, &not, rack));
    }
    problems
}

/// A thread that is sought by a code or a name that none on the rack has.
fn unknown_thread(wanted: &str, rack: &Rack) -> Option<Diagnostic> {
    let threads = rack.threads.iter();
    let words: Vec<&str> = threads
        .flat_map(|thread| [&*thread.code, &*thread.name])
        .filter(|word| !word.is_empty())
        .collect();
    if words.contains(&wanted) {
        return None;
    }
    let message = format!("the rack has no thread \"{wanted}\"");
    let unknown = Diagnostic::error("unknown-thread", message);
    Some(unknown.help(did_you_mean(wanted, words)))
}

fn kind_of(shape: &Shape) -> ShapeKind {
    match shape {
        Shape::Region(_) => ShapeKind::Region,
        Shape::Lines(_) => ShapeKind::Lines,
        Shape::Manual => ShapeKind::Manual,
    }
}

fn of_colour(object: &Object, design: &Design, wanted: &str) -> bool {
    let Some(colour) = Colour::parse(wanted) else {
        return false;
    };
    let tag = colour.to_string();
    object.tags.contains(&tag)
        || design
            .threads
            .get(object.thread as usize)
            .is_some_and(|thread| Colour::of(thread) == colour)
}

/// Whether `text` fits `pattern`, in which `*` stands for any letters, none included.
fn matches(pattern: &str, text: &str) -> bool {
    let mut parts = pattern.split('*');
    let Some(rest) = parts.next().and_then(|first| text.strip_prefix(first)) else {
        return false;
    };
    let mut rest = rest;
    let mut last = None;
    for part in parts {
        if let Some(before) = last.replace(part) {
            let before: &str = before;
            match rest.find(before) {
                Some(at) => rest = &rest[at + before.len()..],
                None => return false,
            }
        }
    }
    match last {
        Some(last) => rest.ends_with(last),
        None => rest.is_empty(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rack() -> Rack {
        let text = "code,name,colour\nN02,Nut,#5a4632\nH01,Hay,#eedd88\n";
        crate::rack::read(std::path::Path::new("rack.csv"), text.to_owned()).expect("a rack")
    }

    fn found(on: &str, rack: Option<&Rack>) -> Vec<(&'static str, String, Option<String>)> {
        let text = format!("{{\"on\": {on}}}");
        let document = Document::parse(std::path::Path::new("a.json"), text).expect("JSON");
        let found = problems(&document, "/on", rack).into_iter();
        let told = |one: Diagnostic| {
            let range = one.range.expect("a place");
            (one.code, document.text[range].to_owned(), one.help)
        };
        found.map(told).collect()
    }

    #[test]
    fn a_thread_is_one_of_the_rack_s_by_code_or_by_name() {
        let rack = rack();
        for known in ["N02", "Nut", "H01", "Hay"] {
            assert_eq!(
                found(&format!(r#"{{"thread": "{known}"}}"#), Some(&rack)),
                []
            );
        }
        let meant = |word: &str| Some(format!("Did you mean \"{word}\"?"));
        let deep = r#"{"not": {"any": [{"thread": "Nutt"}, {"all": [{"thread": "N2"}]}]}}"#;
        let expected = [
            ("unknown-thread", "\"Nutt\"".to_owned(), meant("Nut")),
            ("unknown-thread", "\"N2\"".to_owned(), meant("N02")),
        ];
        assert_eq!(found(deep, Some(&rack)), expected);
        // Without a rack the artwork's own threads are not known yet; nor is what a part takes.
        assert_eq!(found(deep, None), []);
        assert_eq!(found(r#"{"thread": {"taken": "x"}}"#, Some(&rack)), []);
    }

    #[test]
    fn a_star_stands_for_any_letters() {
        for (pattern, text, fits) in [
            ("eye", "eye", true),
            ("eye", "eyes", false),
            ("eye*", "eyes", true),
            ("*eye", "left-eye", true),
            ("*eye*", "my-eye-2", true),
            ("a*b*c", "a-b-b-c", true),
            ("a*b*c", "a-c", false),
            ("*", "", true),
            ("aa*aa", "aaa", false),
        ] {
            assert_eq!(matches(pattern, text), fits, "{pattern} {text}");
        }
    }
}
