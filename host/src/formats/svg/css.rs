//! As much of CSS as a look at the source needs. usvg does the styling.

use roxmltree::Node;

/// The declarations in a style attribute or a style sheet, as name and value. In a sheet, the
/// selectors come along as part of nothing: they end at the brace.
pub(super) fn declarations(style: &str) -> impl Iterator<Item = (&str, &str)> {
    style.split([';', '{', '}']).filter_map(|declaration| {
        let (name, value) = declaration.split_once(':')?;
        Some((name.trim(), value.trim()))
    })
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
