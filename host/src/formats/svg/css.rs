//! As much of CSS as a look at the source needs. usvg does the styling.

use roxmltree::Node;
use simplecss::DeclarationTokenizer;

/// Properties that change what is sewn, its colour or its place.
const PAINTING: [&str; 38] = [
    "clip-path",
    "clip-rule",
    "color",
    "cx",
    "cy",
    "d",
    "display",
    "fill",
    "fill-opacity",
    "fill-rule",
    "filter",
    "height",
    "mask",
    "mix-blend-mode",
    "opacity",
    "overflow",
    "paint-order",
    "r",
    "rotate",
    "rx",
    "ry",
    "scale",
    "stop-color",
    "stop-opacity",
    "stroke",
    "stroke-dasharray",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-opacity",
    "stroke-width",
    "transform",
    "transform-box",
    "transform-origin",
    "translate",
    "visibility",
    "width",
    "x",
    "y",
];

/// Whether the property changes what is sewn, in whatever case it is written.
pub(super) fn is_painting(name: &str) -> bool {
    PAINTING
        .iter()
        .any(|known| known.eq_ignore_ascii_case(name))
}

/// The declarations in a style attribute or a style sheet, as name and value. In a sheet, the
/// selectors come along as part of nothing: they end at the brace.
pub(super) fn declarations(style: &str) -> impl Iterator<Item = (&str, &str)> {
    style.split([';', '{', '}']).filter_map(|declaration| {
        let (name, value) = declaration.split_once(':')?;
        Some((name.trim(), without_important(value.trim())))
    })
}

/// The value without `!important`.
fn without_important(value: &str) -> &str {
    match value.rsplit_once('!') {
        Some((value, mark)) if mark.trim().eq_ignore_ascii_case("important") => value.trim_end(),
        _ => value,
    }
}

/// The first declaration that usvg does not come to and that would change what is sewn: it leaves out all that
/// follows what it cannot read, where CSS goes on after the next semicolon (CSS Syntax 3 section 5.5.4).
pub(super) fn first_unread(declarations: &str) -> Option<String> {
    let text = without_comments(declarations);
    let read = DeclarationTokenizer::from(&*text).count();
    let paints = |piece: &&str| {
        let name = piece.split_once(':').map(|(name, _)| name.trim());
        name.is_some_and(is_painting)
    };
    pieces(&text).skip(read).find(paints).map(shortened)
}

/// What stands between semicolons, outside of quotes and parentheses, and is not empty.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    let mut quote = None;
    let mut depth: usize = 0;
    let ends = move |c: char| {
        match (quote, c) {
            (Some(open), c) => {
                if c == open {
                    quote = None;
                }
                return false;
            }
            (None, '"' | '\'') => quote = Some(c),
            (None, '(') => depth += 1,
            (None, ')') => depth = depth.saturating_sub(1),
            _ => {}
        }
        c == ';' && depth == 0
    };
    text.split(ends)
        .map(str::trim)
        .filter(|piece| !piece.is_empty())
}

/// The style rules of a sheet without comments, as selectors and declarations; what `@` begins is passed over.
/// Rules within a rule come along as its declarations.
pub(super) fn rules(sheet: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = sheet;
    std::iter::from_fn(move || {
        loop {
            rest = rest.trim_start();
            let end = rest.find(['{', ';']).unwrap_or(rest.len());
            let is_at_rule = rest.starts_with('@');
            if is_at_rule && rest[end..].starts_with(';') {
                rest = &rest[end + 1..];
                continue;
            }
            let (selectors, after) = rest.split_once('{')?;
            let (body, after) = block(after);
            rest = after;
            if !is_at_rule {
                return Some((selectors.trim(), body));
            }
        }
    })
}

/// What stands before the brace that closes a block, and after it.
fn block(text: &str) -> (&str, &str) {
    let mut depth: usize = 0;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'{' => depth += 1,
            b'}' if depth == 0 => return (&text[..at], &text[at + 1..]),
            b'}' => depth -= 1,
            _ => {}
        }
    }
    (text, "")
}

/// The selectors of a rule, apart.
pub(super) fn selectors(list: &str) -> impl Iterator<Item = &str> {
    let mut depth: usize = 0;
    let ends = move |c: char| {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ => {}
        }
        c == ',' && depth == 0
    };
    list.split(ends).map(str::trim)
}

/// For messages: the text in one line, cut to 60 characters.
pub(super) fn shortened(text: &str) -> String {
    const MOST: usize = 60;
    // More than is shown is not looked at: it may be megabytes.
    let start: String = text.trim().chars().take(MOST + 1).collect();
    let words: Vec<&str> = start.split_whitespace().collect();
    match start.chars().count() {
        0..=MOST => words.join(" "),
        _ => words.join(" ") + "…",
    }
}

/// The element's own value of a property, from its style or else its attribute; style sheets are
/// not looked at.
pub(super) fn property<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    let style = node.attribute("style").unwrap_or_default();
    declarations(style)
        .filter(|(declared, _)| *declared == name)
        .map(|(_, value)| value)
        .last()
        .or_else(|| node.attribute(name))
}

/// The style sheet with `!important` taken off every `fill` and `opacity`.
pub(super) fn without_important_paint(sheet: &str) -> String {
    let mut out = String::with_capacity(sheet.len());
    for piece in sheet.split_inclusive([';', '{', '}']) {
        let name = piece.split(':').next().unwrap_or_default().trim();
        match piece.rfind('!') {
            Some(mark) if name.ends_with("fill") || name.ends_with("opacity") => {
                let (value, rest) = piece.split_at(mark);
                let end = rest.find([';', '{', '}']).unwrap_or(rest.len());
                out.push_str(value);
                out.push_str(&rest[end..]);
            }
            _ => out.push_str(piece),
        }
    }
    out
}

/// The style sheet without its comments.
pub(super) fn without_comments(sheet: &str) -> String {
    let mut out = String::with_capacity(sheet.len());
    let mut rest = sheet;
    while let Some((before, comment)) = rest.split_once("/*") {
        out.push_str(before);
        rest = comment.split_once("*/").map_or("", |(_, after)| after);
    }
    out + rest
}

/// The ids in every `url(#id)` of a value.
pub(super) fn urls(value: &str) -> impl Iterator<Item = &str> {
    value.split("url(").skip(1).filter_map(|rest| {
        let (inside, _) = rest.split_once(')')?;
        let inside = inside.trim().trim_matches(['"', '\'']);
        inside.trim().strip_prefix('#')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_taken_apart() {
        let sheet = "@import url(a.css); .a, g > .b{fill:red} @media print{.c{fill:blue}} .d{e{f:g}h:i} .j{k:l";
        let expected = [
            (".a, g > .b", "fill:red"),
            (".d", "e{f:g}h:i"),
            (".j", "k:l"),
        ];
        assert_eq!(rules(sheet).collect::<Vec<_>>(), expected);
        let list: Vec<_> = selectors("a:is(b, c), [d='e,f'],g").collect();
        assert_eq!(list, ["a:is(b, c)", "[d='e,f']", "g"]);
    }

    /// CSS Syntax 3 section 5.5.4: what is no declaration is passed over up to the next semicolon.
    #[test]
    fn what_usvg_does_not_come_to_is_found() {
        for (style, expected) in [
            ("fill:red;stroke:blue;", None),
            ("fill:url(data:a;b);font-family:'a;b';stroke:blue", None),
            ("/* a;b */fill:red", None),
            ("stroke:blue;foo", None),
            (";fill:red", Some("fill:red")),
            ("foo;fill:red", Some("fill:red")),
            ("font:9px/1.5 serif;zoom:1;opacity:.5", Some("opacity:.5")),
            ("fill:;stroke: blue", Some("fill:")),
        ] {
            assert_eq!(first_unread(style).as_deref(), expected, "{style}");
        }
    }
}
