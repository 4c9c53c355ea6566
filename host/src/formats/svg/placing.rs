//! What CSS moves, sizes or cuts, and usvg does not.

use super::css;
use super::findings::Findings;
use super::page;
use super::sheets::Declared;
use super::source::spoken;
use roxmltree::Node;
use std::str::FromStr;

/// Reports what places the element otherwise than it is read. `declared` is what CSS says of it.
pub(super) fn look_at_element(
    node: Node<'_, '_>,
    declared: &Declared<'_>,
    findings: &mut Findings<'_, '_>,
) {
    let mut tell = |name: &str, value: &str| {
        findings.warning(
            Some(node),
            "style-geometry",
            format!(
                "\"{name}: {}\" of {} is not read as it is meant in a style",
                css::shortened(value),
                spoken(node)
            ),
            "draw it so without a style: move, size or turn the shape itself in the drawing program",
        );
    };
    let of = |name: &str| declared.get(name).copied();
    if let Some(value) = of("transform").filter(|value| !is_read_alike(value)) {
        tell("transform", value);
    }
    for (name, at_rest) in [("rotate", "360deg"), ("scale", "1"), ("translate", "0")] {
        let moves = |value: &&str| !["none", at_rest].contains(value);
        if let Some(value) = of(name).filter(moves) {
            tell(name, value);
        }
    }
    let turned = [of("transform"), node.attribute("transform")];
    if turned.iter().flatten().any(|value| *value != "none")
        && let Some(value) = of("transform-box").or(node.attribute("transform-box"))
        && value != "view-box"
    {
        tell("transform-box", value);
    }
    let is_root = node.parent_element().is_none();
    for name in lengths(node.tag_name().name()) {
        // The page's size is read of the root's own style, and a share of a window is no size.
        let is_page = |value: &str| {
            let style = node.attribute("style").unwrap_or_default();
            let own = css::declarations(style).any(|(declared, _)| declared == *name);
            is_root && (own || page::in_mm(value).is_none())
        };
        let other = |value: &&str| !is_same(value, node.attribute(*name)) && !is_page(value);
        if let Some(value) = of(name).filter(other) {
            tell(name, value);
        }
    }
    if let Some(shape) = of("clip-path").or(node.attribute("clip-path"))
        && shape.contains('(')
        && !shape.starts_with("url(")
    {
        findings.warning(
            Some(node),
            "clip-path",
            format!(
                "{} is not cut by \"{}\": only clip paths that are elements are read",
                spoken(node),
                css::shortened(shape)
            ),
            "cut the shape in the drawing program, or use a <clipPath>",
        );
    }
}

/// Which of an element's attributes CSS may give as well (SVG 2, Geometry Properties).
fn lengths(element: &str) -> &'static [&'static str] {
    match element {
        "rect" => &["x", "y", "width", "height", "rx", "ry"],
        "circle" => &["cx", "cy", "r"],
        "ellipse" => &["cx", "cy", "rx", "ry"],
        "path" => &["d"],
        "svg" | "use" => &["x", "y", "width", "height"],
        _ => &[],
    }
}

/// Whether a length says the same as the attribute.
fn is_same(value: &str, attribute: Option<&str>) -> bool {
    let number = |text: &str| text.trim().trim_end_matches("px").parse::<f64>().ok();
    let same = |own: &str| value == own || number(value).is_some_and(|n| number(own) == Some(n));
    match attribute {
        Some(own) => same(own),
        None => value == "auto" || number(value) == Some(0.0),
    }
}

/// Whether usvg reads a transform that is written in CSS as browsers do. CSS has units at lengths and angles, and
/// refuses numbers without (CSS Transforms 1 section 10); usvg refuses those with units.
fn is_read_alike(value: &str) -> bool {
    let functions = || {
        value
            .split(')')
            .map(str::trim)
            .filter(|function| !function.is_empty())
    };
    let alike = |function: &str| {
        let name = function.split('(').next().unwrap_or_default().trim();
        ["matrix", "scale"].contains(&name) || is_nothing(function)
    };
    let is_read = svgtypes::Transform::from_str(value).is_ok();
    value == "none" || functions().all(is_nothing) || (is_read && functions().all(alike))
}

/// Whether a function of a transform, its closing parenthesis aside, turns and shifts by nothing. A whole turn and
/// a shift by 0 are written for the sake of animations.
fn is_nothing(function: &str) -> bool {
    let moves = ["rotate", "translate", "skew"];
    let is_move = moves.iter().any(|name| function.starts_with(name));
    is_move && (is_zero(function.replace("3d", "").as_str()) || function == "rotate(360deg")
}

/// Whether all numbers in a text are 0.
fn is_zero(text: &str) -> bool {
    !text.contains(|c: char| ('1'..='9').contains(&c))
}
