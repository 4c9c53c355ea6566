//! What usvg reads only in one spelling, written so before it reads.

use std::borrow::Cow;

/// As usvg has it. CSS has no case for keywords (CSS Values and Units 4 section 2.4), and drawing programs write it small.
const CURRENT_COLOUR: &str = "currentColor";

/// The text with every paint `currentcolor` in usvg's spelling. It stays as long as it was, so that all places
/// in it stay.
pub(super) fn corrected(text: &str) -> Cow<'_, str> {
    let length = CURRENT_COLOUR.len();
    let mut out = String::new();
    let mut copied = 0;
    let mut from = 0;
    while let Some(found) = text.get(from..).and_then(|rest| rest.find(['c', 'C'])) {
        let start = from + found;
        from = start + 1;
        let Some(word) = text.get(start..start + length) else {
            continue;
        };
        let differs = word != CURRENT_COLOUR && word.eq_ignore_ascii_case(CURRENT_COLOUR);
        if differs && is_paint(&text[copied..start], &text[start + length..]) {
            out.push_str(&text[copied..start]);
            out.push_str(CURRENT_COLOUR);
            copied = start + length;
            from = copied;
        }
    }
    if copied == 0 {
        return Cow::Borrowed(text);
    }
    out.push_str(&text[copied..]);
    Cow::Owned(out)
}

/// Whether what stands between these is the whole value of a property that takes a colour.
fn is_paint(before: &str, after: &str) -> bool {
    let goes_on = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '(');
    if after.starts_with(goes_on) {
        return false;
    }
    let before = before.trim_end();
    let before = before
        .strip_suffix(['"', '\''])
        .unwrap_or(before)
        .trim_end();
    let name = before.strip_suffix([':', '=']).map(str::trim_end);
    name.is_some_and(|name| {
        ["fill", "stroke", "color"]
            .iter()
            .any(|end| name.ends_with(end))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paints_are_spelt_as_usvg_has_them_and_nothing_else_is() {
        for (text, expected) in [
            ("<g fill='currentcolor'/>", "<g fill='currentColor'/>"),
            (
                "{stop-color : CURRENTCOLOR;}",
                "{stop-color : currentColor;}",
            ),
            ("stroke = \" currentcolor \"", "stroke = \" currentColor \""),
            (
                "fill:currentcolor;stroke:CurrentColor",
                "fill:currentColor;stroke:currentColor",
            ),
        ] {
            assert_eq!(corrected(text), expected);
        }
        for text in [
            "",
            "é",
            "fill:currentcolo",
            "fill:currentColor",
            "fill:currentcolored",
            "class=\"currentcolor\"",
            "<title>currentcolor</title>",
            "fill:currentcoloré",
            "céfill:currentcolóur",
        ] {
            assert!(
                matches!(corrected(text), Cow::Borrowed(same) if same == text),
                "{text}"
            );
        }
    }
}
