//! A JSON text with the place of each of its values.

use super::hint::hint;
use super::size::{MOST_PLACED, holds_more_than};
use crate::diagnostics::{Diagnostic, MOST_TOLD};
use jsonc_parser::ast::{ObjectPropName, Value as Ast};
use jsonc_parser::common::Ranged as _;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};
use serde_json::Value;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};

/// A JSON file, its value, and where in the text each part of it stands.
#[derive(Clone, Debug)]
pub struct Document {
    /// The file's name, for messages.
    pub file: PathBuf,
    /// The file's text.
    pub text: String,
    /// What the text means.
    pub value: Value,
    places: BTreeMap<String, Place>,
}

#[derive(Clone, Debug)]
struct Place {
    value: Range<usize>,
    key: Option<Range<usize>>,
}

/// The mark by which some editors say that a text is UTF-8. It may stand before JSON and is no part of it
/// (RFC 8259, section 8.1).
pub const MARK: &str = "\u{feff}";

/// Strict JSON as RFC 8259 has it.
const STRICT: ParseOptions = ParseOptions {
    allow_comments: false,
    allow_loose_object_property_names: false,
    allow_trailing_commas: false,
    allow_missing_commas: false,
    allow_single_quoted_strings: false,
    allow_hexadecimal_numbers: false,
    allow_unary_plus_numbers: false,
    allow_bare_decimal_point_numbers: false,
    allow_non_finite_numbers: false,
    allow_extended_string_escapes: false,
};

impl Document {
    /// Reads strict JSON.
    ///
    /// # Errors
    /// One diagnostic per problem: where the text stops being JSON, or every name given twice. A text of more than
    /// [`MOST_PLACED`] values is not looked into.
    pub fn parse(file: &Path, text: String) -> Result<Self, Vec<Diagnostic>> {
        let broken = |message: String, range: Range<usize>| {
            let hint = hint(&message, &text, range.start);
            let broken = Diagnostic::error("not-json", message);
            let broken = hint.into_iter().fold(broken, Diagnostic::help);
            vec![broken.in_file(file).at(&text, range)]
        };
        // Each value with its place takes a hundred times the memory of its text.
        if holds_more_than(&text, MOST_PLACED) {
            let message =
                format!("this JSON holds more than {MOST_PLACED} values: too many to look through");
            return Err(vec![
                Diagnostic::error("too-many-values", message)
                    .in_file(file)
                    .help(
                        "Take it apart into several files; a large design must leave nothing out.",
                    ),
            ]);
        }
        // Spaces as long as the mark keep every place where it is in the file.
        let json = match text.strip_prefix(MARK) {
            Some(rest) => Cow::Owned(" ".repeat(MARK.len()) + rest),
            None => Cow::Borrowed(&*text),
        };
        // serde_json bounds the nesting, which the other parser does not.
        let mut value: Value = serde_json::from_str(&json).map_err(|error| {
            let (words, at) = words_and_place(&error, &text);
            broken(format!("this is not JSON: {words}"), at..at)
        })?;
        let ast = parse_to_ast(&json, &CollectOptions::default(), &STRICT).map_err(|error| {
            let range = error.range();
            broken(
                format!("this is not JSON: {}", error.kind()),
                range.start..range.end,
            )
        })?;
        let mut walk = Walk {
            file,
            text: &text,
            places: BTreeMap::new(),
            problems: Vec::new(),
        };
        if let Some(ast) = &ast.value {
            walk.visit(ast, String::new(), None);
        }
        let Walk {
            places, problems, ..
        } = walk;
        if problems.is_empty() {
            whole_numbers(&mut value);
            Ok(Self {
                file: file.to_owned(),
                text,
                value,
                places,
            })
        } else {
            Err(problems)
        }
    }

    /// The bytes of the value at a JSON Pointer (RFC 6901), or of the nearest value around it.
    pub fn value_range(&self, pointer: &str) -> Range<usize> {
        self.nearest(pointer)
            .map_or(0..0, |place| place.value.clone())
    }

    /// The bytes of the name under which the value at a JSON Pointer stands.
    pub fn key_range(&self, pointer: &str) -> Range<usize> {
        self.nearest(pointer).map_or(0..0, |place| {
            place.key.clone().unwrap_or_else(|| place.value.clone())
        })
    }

    /// Points a diagnostic at a range of this file.
    pub fn point(&self, diagnostic: Diagnostic, range: Range<usize>) -> Diagnostic {
        diagnostic.in_file(&self.file).at(&self.text, range)
    }

    fn nearest(&self, mut pointer: &str) -> Option<&Place> {
        loop {
            if let Some(place) = self.places.get(pointer) {
                return Some(place);
            }
            pointer = &pointer[..pointer.rfind('/')?];
        }
    }
}

struct Walk<'a> {
    file: &'a Path,
    text: &'a str,
    places: BTreeMap<String, Place>,
    problems: Vec<Diagnostic>,
}

impl Walk<'_> {
    fn visit(&mut self, ast: &Ast<'_>, pointer: String, key: Option<Range<usize>>) {
        match ast {
            Ast::Object(object) => {
                for property in &object.properties {
                    let name = property.name.as_str();
                    let range = match &property.name {
                        ObjectPropName::String(name) => name.range,
                        ObjectPropName::Word(name) => name.range,
                    };
                    let range = range.start..range.end;
                    let child = format!("{pointer}/{}", escape(name));
                    if self.places.contains_key(&child) && self.problems.len() < MOST_TOLD {
                        self.problems.push(
                            Diagnostic::error("given-twice", format!("\"{name}\" is given twice"))
                                .in_file(self.file)
                                .at(self.text, range.clone())
                                .help("Keep one of the two."),
                        );
                    }
                    self.visit(&property.value, child, Some(range));
                }
            }
            Ast::Array(array) => {
                for (i, element) in array.elements.iter().enumerate() {
                    self.visit(element, format!("{pointer}/{i}"), None);
                }
            }
            _ => {}
        }
        let range = ast.range();
        let value = range.start..range.end;
        self.places.insert(pointer, Place { value, key });
    }
}

/// A name as a token of a JSON Pointer (RFC 6901, section 3).
pub fn escape(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// What serde_json says about `text`, without the line and column, and the byte it says it of.
pub fn words_and_place(error: &serde_json::Error, text: &str) -> (String, usize) {
    let words = error.to_string();
    let words = words.split(" at line ").next().unwrap_or_default();
    // Both count from 1.
    let start: usize = text
        .split_inclusive('\n')
        .take(error.line().saturating_sub(1))
        .map(str::len)
        .sum();
    let mut at = (start + error.column().saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    (words.to_owned(), at)
}

/// Turns each number like 3.0 into 3. To JSON Schema both are whole (draft 2020-12, section 4.2.3), but not to
/// those who read the value afterwards.
fn whole_numbers(value: &mut Value) {
    /// Up to here every whole number is a 64-bit one: 2 to the power of 53.
    const EXACT: f64 = 9_007_199_254_740_992.0;
    match value {
        Value::Number(number) if number.is_f64() => {
            let whole = number
                .as_f64()
                .filter(|it| it.fract() == 0.0 && it.abs() <= EXACT);
            if let Some(whole) = whole {
                *value = (whole as i64).into();
            }
        }
        Value::Array(parts) => parts.iter_mut().for_each(whole_numbers),
        Value::Object(fields) => fields.values_mut().for_each(whole_numbers),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> Result<Document, Vec<Diagnostic>> {
        Document::parse(Path::new("a.json"), text.to_owned())
    }

    #[test]
    fn values_and_names_are_found() {
        let document = parse(r#"{"a": [1, {"b/c": 2}]}"#).expect("JSON");
        let text = |range: Range<usize>| &document.text[range];
        assert_eq!(text(document.value_range("/a/1/b~1c")), "2");
        assert_eq!(text(document.key_range("/a/1/b~1c")), "\"b/c\"");
        assert_eq!(text(document.value_range("/a/1/gone")), r#"{"b/c": 2}"#);
    }

    #[test]
    fn a_number_is_whole_however_it_is_written() {
        let document = parse(r#"[3.0, -0.0, 2.5, 1e2, {"a": -4.0}, 1e300]"#).expect("JSON");
        assert_eq!(
            document.value.to_string(),
            r#"[3,0,2.5,100,{"a":-4},1e+300]"#
        );
    }

    #[test]
    fn broken_text_is_pointed_at() {
        let problems = parse("{\n  \"a\": nope\n}").expect_err("broken");
        assert_eq!((problems[0].line, problems[0].code), (Some(2), "not-json"));
        for broken in ["", "{\"a\": 1,}", "// no\n{}", "{\"a\": 1e999}", "{'a': 1}"] {
            assert!(parse(broken).is_err(), "{broken}");
        }
    }

    /// RFC 8259, section 8.1: a parser may ignore a byte order mark rather than treat it as an error.
    /// Three bytes long in UTF-8, it moves every place behind it.
    #[test]
    fn a_mark_before_the_text_is_no_part_of_it_and_places_are_those_of_the_file() {
        let document = parse("\u{feff}{\"a\": 1}").expect("JSON");
        assert_eq!(document.value.to_string(), r#"{"a":1}"#);
        let text = |range: Range<usize>| &document.text[range];
        assert_eq!(text(document.value_range("/a")), "1");
        assert_eq!(text(document.key_range("/a")), "\"a\"");
        let problems = parse("\u{feff}{\"a\": 1, \"a\": 2}").expect_err("twice");
        assert_eq!(problems[0].range, Some(12..15));
        let problems = parse("\u{feff}{\n  \"a\": nope\n}").expect_err("broken");
        assert_eq!((problems[0].line, problems[0].code), (Some(2), "not-json"));
        // Only one, and only before all else.
        for broken in ["\u{feff}", "\u{feff}\u{feff}1", "[\u{feff}1]"] {
            assert!(parse(broken).is_err(), "{broken:?}");
        }
    }

    #[test]
    fn what_holds_too_much_is_refused_before_it_is_looked_into() {
        let zeros = |count: usize| format!("[0{}]", ",0".repeat(count - 1));
        let problems = parse(&zeros(MOST_PLACED)).expect_err("the list is a value as well");
        assert_eq!(problems[0].code, "too-many-values");
        assert_eq!(parse("[0,0]").expect("JSON").value.to_string(), "[0,0]");
    }

    #[test]
    fn names_given_twice_are_all_told() {
        let problems = parse(r#"{"a": 1, "a": 2, "b": {"c": 1, "c": 1}}"#).expect_err("twice");
        assert_eq!(problems.len(), 2);
    }
}
