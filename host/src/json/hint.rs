//! What to do about a text that is not JSON, where a usual slip shows.

use super::MARK;

/// The slip that shows in `text`, which stops being JSON at the byte `at`, as `words` say.
pub fn hint(words: &str, text: &str, at: usize) -> Option<&'static str> {
    let text_alone = text.strip_prefix(MARK).unwrap_or(text).trim_start();
    if text_alone.is_empty() {
        return Some("The file is empty.");
    }
    if text_alone.starts_with('<') {
        return Some(
            "This looks like artwork (SVG), and JSON is wanted here. Of a pipeline and its artwork, the pipeline comes first.",
        );
    }
    // Where a name should follow, there is the rest of a number: `0,4`. In a list that would be two numbers.
    if !words.ends_with("key must be a string") {
        return None;
    }
    let (before, after) = text.split_at_checked(at)?;
    let whole = before.strip_suffix(',')?;
    let digit = |last: Option<char>| last.is_some_and(|last| last.is_ascii_digit());
    (digit(whole.chars().next_back()) && digit(after.chars().next()))
        .then_some("Write numbers with a point: 0.4.")
}

#[cfg(test)]
mod tests {
    use crate::json::Document;
    use std::path::Path;

    fn help(text: &str) -> Option<String> {
        let broken = Document::parse(Path::new("a.json"), text.to_owned());
        broken.expect_err("not JSON").remove(0).help
    }

    #[test]
    fn usual_slips_are_known() {
        let point = Some("Write numbers with a point: 0.4.");
        for (text, told) in [
            (r#"{"density": 0,4}"#, point),
            ("{\n  \"density\": -10,45,\n  \"angle\": 3 }", point),
            ("\u{feff}{\"Länge\": 2,5}", point),
            ("", Some("The file is empty.")),
            ("\u{feff} \r\n", Some("The file is empty.")),
            // What no slip is known of.
            (r#"{"density": 0, 4}"#, None),
            (r#"{"density": 0,}"#, None),
            (r#"{"density": nope}"#, None),
            (r#"[0,4"#, None),
        ] {
            assert_eq!(help(text).as_deref(), told, "{text}");
        }
        for artwork in ["<svg/>", "\u{feff}\n<?xml version=\"1.0\"?>"] {
            assert!(
                help(artwork).is_some_and(|told| told.contains("SVG")),
                "{artwork}"
            );
        }
    }
}
