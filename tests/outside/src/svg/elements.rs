//! Elements within each other, with references in every direction.

use super::values::{
    choice, escaped, id, length, link, paint, path, points, reference, transform, view_box,
};
use crate::chance::once_in;
use crate::words;
use arbitrary::{Result, Unstructured};

/// How deep elements nest.
const DEEPEST: usize = 6;

/// What an element is made of.
struct Kind {
    name: &'static str,
    attributes: &'static [&'static str],
    children: bool,
}

const fn kind(name: &'static str, attributes: &'static [&'static str], children: bool) -> Kind {
    Kind {
        name,
        attributes,
        children,
    }
}

/// Shapes first: bytes that end early choose them.
const KINDS: [Kind; 33] = [
    kind("path", &["d", "d"], false),
    kind("rect", &["x", "y", "width", "height", "rx", "ry"], false),
    kind("path", &["d"], false),
    kind("circle", &["cx", "cy", "r"], false),
    kind("ellipse", &["cx", "cy", "rx", "ry"], false),
    kind("line", &["x1", "y1", "x2", "y2"], false),
    kind("polyline", &["points"], false),
    kind("polygon", &["points"], false),
    kind("g", &[], true),
    kind("g", &["transform"], true),
    kind("g", &["clip-path"], true),
    kind("use", &["href", "x", "y", "width", "height"], false),
    kind("use", &["href"], false),
    kind("defs", &[], true),
    kind("symbol", &["viewBox", "preserveAspectRatio"], true),
    kind(
        "svg",
        &[
            "x",
            "y",
            "width",
            "height",
            "viewBox",
            "preserveAspectRatio",
        ],
        true,
    ),
    kind("clipPath", &["clipPathUnits", "clip-path"], true),
    kind(
        "mask",
        &["maskUnits", "maskContentUnits", "x", "y", "width", "height"],
        true,
    ),
    kind(
        "pattern",
        &[
            "patternUnits",
            "patternTransform",
            "width",
            "height",
            "href",
        ],
        true,
    ),
    kind(
        "marker",
        &["markerUnits", "refX", "refY", "markerWidth", "orient"],
        true,
    ),
    kind(
        "linearGradient",
        &["gradientUnits", "gradientTransform", "x1", "x2", "href"],
        true,
    ),
    kind(
        "radialGradient",
        &["cx", "cy", "r", "fx", "fy", "href"],
        true,
    ),
    kind("stop", &["offset", "stop-color", "stop-opacity"], false),
    kind("filter", &["x", "width", "filterUnits"], true),
    kind("feGaussianBlur", &["stdDeviation"], false),
    kind("feMorphology", &["operator", "radius"], false),
    kind("feTurbulence", &["baseFrequency", "numOctaves"], false),
    kind("feConvolveMatrix", &["order", "kernelMatrix"], false),
    kind("switch", &["systemLanguage"], true),
    kind("a", &["href"], true),
    kind("text", &["x", "y", "font-size"], true),
    kind("image", &["x", "y", "width", "height", "href"], false),
    kind("foreignObject", &["x", "y", "width", "height"], true),
];

/// Attributes that any element may have.
const ON_ALL: [&str; 27] = [
    "fill",
    "stroke",
    "stroke-width",
    "id",
    "class",
    "transform",
    "style",
    "opacity",
    "fill-opacity",
    "stroke-opacity",
    "fill-rule",
    "clip-rule",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-dasharray",
    "stroke-dashoffset",
    "clip-path",
    "mask",
    "filter",
    "display",
    "visibility",
    "marker-start",
    "marker-end",
    "paint-order",
    "vector-effect",
    "color",
];

/// An element with what is in it.
pub fn element(bytes: &mut Unstructured<'_>, depth: usize) -> Result<String> {
    let kind = bytes.choose(&KINDS)?;
    let mut text = format!("<{}", kind.name);
    let mut given: Vec<&str> = Vec::new();
    for &name in kind.attributes {
        if !once_in(bytes, 12)? {
            given.push(name);
        }
    }
    for _ in 0..bytes.int_in_range(0..=4)? {
        given.push(*bytes.choose(&ON_ALL)?);
    }
    // An attribute that is given twice is no XML; that is for the damage to do.
    let mut before: Vec<&str> = Vec::new();
    for name in given {
        if !before.contains(&name) {
            before.push(name);
            attribute(&mut text, name, bytes)?;
        }
    }
    text.push('>');
    if once_in(bytes, 10)? {
        text += &format!("<title>{}</title>", escaped(&words::word(bytes)?));
    }
    if kind.children && depth < DEEPEST {
        for _ in 0..bytes.int_in_range(0..=3)? {
            text += &element(bytes, depth + 1)?;
        }
        if kind.name == "text" {
            text += &escaped(&words::word(bytes)?);
        }
    }
    text += &format!("</{}>", kind.name);
    Ok(text)
}

fn attribute(text: &mut String, name: &str, bytes: &mut Unstructured<'_>) -> Result<()> {
    // Some files have the older name of a reference.
    let written = if name == "href" && bytes.arbitrary()? {
        "xlink:href"
    } else {
        name
    };
    let value = if name == "style" {
        declarations(bytes)?
    } else {
        value(name, bytes)?
    };
    *text += &format!(" {written}=\"{}\"", escaped(&value));
    Ok(())
}

/// What stands in a `style` attribute or between the braces of a rule.
pub fn declarations(bytes: &mut Unstructured<'_>) -> Result<String> {
    let mut all = Vec::new();
    for _ in 0..bytes.int_in_range(0..=4)? {
        let name = *bytes.choose(&ON_ALL)?;
        let important = if once_in(bytes, 8)? {
            " !important"
        } else {
            ""
        };
        let value = if name == "style" {
            words::word(bytes)?
        } else {
            value(name, bytes)?
        };
        all.push(format!("{name}:{value}{important}"));
    }
    Ok(all.join(";"))
}

fn value(name: &str, bytes: &mut Unstructured<'_>) -> Result<String> {
    match name {
        "d" => path(bytes),
        "points" => points(bytes),
        "fill" | "stroke" | "stop-color" | "color" => paint(bytes),
        "id" => id(bytes),
        "class" => Ok(format!("{} {}", id(bytes)?, id(bytes)?)),
        "href" => reference(bytes),
        "clip-path" | "mask" | "filter" | "marker-start" | "marker-end" => link(bytes),
        "transform" | "gradientTransform" | "patternTransform" => transform(bytes),
        "viewBox" => view_box(bytes),
        "fill-rule" | "clip-rule" => choice(bytes, &["nonzero", "evenodd", "inherit"]),
        "stroke-linecap" => choice(bytes, &["butt", "round", "square"]),
        "stroke-linejoin" => choice(bytes, &["miter", "round", "bevel", "miter-clip", "arcs"]),
        "stroke-dasharray" => points(bytes),
        "display" => choice(bytes, &["none", "inline", "block"]),
        "visibility" => choice(bytes, &["visible", "hidden", "collapse"]),
        "paint-order" => choice(bytes, &["normal", "stroke", "markers stroke"]),
        "vector-effect" => choice(bytes, &["none", "non-scaling-stroke"]),
        "preserveAspectRatio" => {
            choice(bytes, &["none", "xMidYMid slice", "xMaxYMin meet", "defer"])
        }
        "operator" => choice(bytes, &["dilate", "erode"]),
        "kernelMatrix" => points(bytes),
        "orient" => choice(bytes, &["auto", "auto-start-reverse", "30"]),
        "systemLanguage" => choice(bytes, &["en", "de", ""]),
        units if units.ends_with("Units") => choice(
            bytes,
            &["userSpaceOnUse", "objectBoundingBox", "strokeWidth"],
        ),
        _ => length(bytes),
    }
}
