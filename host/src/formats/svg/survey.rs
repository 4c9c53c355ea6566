//! A look through the XML for what does not reach the paths, so that nothing vanishes in silence.

use super::css;
use super::findings::Findings;
use super::source::{Source, href, is_named, is_shape, is_svg, spoken};
use super::styles;
use roxmltree::Node;
use std::collections::BTreeSet;

/// Elements whose children are painted only where something refers to them.
const NOT_PAINTED_HERE: [&str; 9] = [
    "defs",
    "symbol",
    "clipPath",
    "mask",
    "marker",
    "pattern",
    "linearGradient",
    "radialGradient",
    "filter",
];

/// Elements that need no word: structure, description, and what others refer to.
const SILENT: [&str; 17] = [
    "svg",
    "g",
    "a",
    "defs",
    "symbol",
    "use",
    "title",
    "desc",
    "metadata",
    "view",
    "clipPath",
    "mask",
    "marker",
    "pattern",
    "linearGradient",
    "radialGradient",
    "filter",
];

/// Reports everything that is painted but has no path. `seen` are the shapes that have one.
pub(super) fn survey(source: &Source<'_>, seen: &BTreeSet<usize>, findings: &mut Findings<'_, '_>) {
    let referenced: BTreeSet<usize> = source
        .xml
        .descendants()
        .filter(|node| is_named(*node, "use"))
        .filter_map(|node| source.linked(node))
        .map(|node| node.id().get_usize())
        .collect();
    // Asked once: a drawing may hold many thousands of shapes that are not shown.
    let has_sheet = source.xml.descendants().any(|node| is_named(node, "style"));
    let look_at = if has_sheet {
        "look at the rules in <style> and at its attributes"
    } else {
        "look at its attributes"
    };
    let mut ids = BTreeSet::new();
    let mut painted: BTreeSet<usize> = BTreeSet::new();
    for instruction in source.xml.root().children().filter(Node::is_pi) {
        if instruction
            .pi()
            .is_some_and(|pi| pi.target == "xml-stylesheet")
        {
            findings.warning(
                Some(source.xml.root_element()),
                "other-file",
                "a style sheet in another file is not loaded",
                "put its rules into a <style> in the artwork",
            );
        }
    }
    for node in source.xml.descendants().filter(|node| is_svg(*node)) {
        if let Some(id) = node.attribute("id")
            && !ids.insert(id)
        {
            findings.note(
                Some(node),
                "repeated-id",
                format!("the id \"{id}\" is used before; later objects get a number after it"),
                "give every element an id of its own",
            );
        }
        let is_painted = match node.parent_element() {
            None => true,
            _ if referenced.contains(&node.id().get_usize()) => true,
            Some(parent) => {
                let name = parent.tag_name().name();
                let is_kept = NOT_PAINTED_HERE.contains(&name)
                    && !referenced.contains(&parent.id().get_usize());
                painted.contains(&parent.id().get_usize()) && !is_kept
            }
        };
        if node.tag_name().name() == "style" {
            styles::look_at_sheet(node, findings);
        }
        if !is_painted {
            continue;
        }
        painted.insert(node.id().get_usize());
        if is_shape(node) {
            look_at_shape(node, seen, look_at, findings);
        } else {
            look_at_other(source, node, findings);
        }
        styles::look_at_element(source, node, findings);
    }
}

/// `look_at` says where to look for what hides a shape.
fn look_at_shape(
    shape: Node<'_, '_>,
    seen: &BTreeSet<usize>,
    look_at: &'static str,
    findings: &mut Findings<'_, '_>,
) {
    if seen.contains(&shape.id().get_usize()) {
        return;
    }
    let is_off = |node: &Node<'_, '_>| css::property(*node, "display") == Some("none");
    let enclosing = || shape.ancestors().filter(Node::is_element);
    if let Some(outermost) = enclosing().filter(is_off).last() {
        findings.note(
            Some(outermost),
            "hidden",
            format!("{} is hidden, and is left out", spoken(outermost)),
            "show it in the drawing program if it is to be sewn",
        );
        return;
    }
    if enclosing().any(|node| is_named(node, "switch")) {
        // The switch has been reported.
        return;
    }
    let conditions = ["systemLanguage", "requiredFeatures", "requiredExtensions"];
    let is_conditional =
        |node: &Node<'_, '_>| conditions.iter().any(|name| node.has_attribute(*name));
    if let Some(node) = enclosing().find(is_conditional) {
        let message = format!(
            "{} is for other readers only, and is left out",
            spoken(node)
        );
        findings.note(Some(node), "conditional", message, "take its condition off");
        return;
    }
    if has_no_size(shape) {
        let message = format!("{} has no size; nothing is made of it", spoken(shape));
        findings.note(Some(shape), "no-size", message, "");
        return;
    }
    for property in ["clip-path", "mask", "filter"] {
        let bearer = enclosing().find(|node| css::property(*node, property).is_some());
        if let Some(bearer) = bearer {
            let value = css::property(bearer, property).unwrap_or_default();
            findings.warning(
                Some(bearer),
                "not-shown",
                format!(
                    "{} is not shown: its {property} {value} is not there or lets nothing through",
                    spoken(bearer)
                ),
                "take it off, or cut the shape in the drawing program",
            );
            return;
        }
    }
    let message = format!(
        "{} is not shown: a style hides it, or its outline or transform is not sound",
        spoken(shape)
    );
    findings.warning(Some(shape), "not-shown", message, look_at);
}

/// Whether the attributes that give the shape its size are absent, zero or negative.
fn has_no_size(shape: Node<'_, '_>) -> bool {
    let is_nothing = |name: &str| {
        let digits = |c: char| !(c.is_ascii_digit() || c == '.' || c == '-' || c == '+');
        let value = shape.attribute(name).unwrap_or("0").trim();
        let number = value.split(digits).next().unwrap_or_default();
        number.parse::<f64>().is_ok_and(|number| number <= 0.0)
    };
    let is_short = |name: &str| {
        let value = shape.attribute(name).unwrap_or_default().trim();
        value.is_empty() || value == "none"
    };
    match shape.tag_name().name() {
        "rect" => is_nothing("width") || is_nothing("height"),
        "circle" => is_nothing("r"),
        "ellipse" => is_nothing("rx") || is_nothing("ry"),
        "polyline" | "polygon" => is_short("points"),
        "path" => is_short("d"),
        _ => false,
    }
}

fn look_at_other(source: &Source<'_>, node: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let name = node.tag_name().name();
    match name {
        "use" => look_at_use(source, node, findings),
        "text" => {
            let words: String = node
                .descendants()
                .filter(|node| node.is_text())
                .filter_map(|node| node.text())
                .collect();
            let words: Vec<&str> = words.split_whitespace().collect();
            let mut words = words.join(" ");
            if words.chars().count() > 40 {
                words = words.chars().take(40).collect::<String>() + "…";
            }
            findings.warning(
                Some(node),
                "text",
                format!("the text \"{words}\" is left out: no font is loaded"),
                "convert it to paths in the drawing program",
            );
        }
        "image" | "feImage" => {
            let is_inside = href(node).is_some_and(|href| href.trim_start().starts_with("data:"));
            let what = if is_inside { "embedded" } else { "linked" };
            findings.warning(
                Some(node),
                "image",
                format!("{} is a picture ({what}), and is left out", spoken(node)),
                "trace it into shapes in the drawing program",
            );
        }
        "switch" => findings.note(
            Some(node),
            "switch",
            format!(
                "of {}, only the first part that fits is taken",
                spoken(node)
            ),
            "leave only the part that is to be sewn",
        ),
        "animate" | "animateTransform" | "animateMotion" | "animateColor" | "set" => {
            findings.note(
                Some(node),
                "animation",
                format!(
                    "{} is an animation; the drawing is taken at rest",
                    spoken(node)
                ),
                "",
            );
        }
        "script" => findings.note(
            Some(node),
            "script",
            "a script is not run",
            "save the drawing as plain SVG",
        ),
        _ if SILENT.contains(&name) || name == "style" => {}
        _ => {
            // What an unknown element holds is left out with it, and is not told one by one.
            let is_inner = node.parent_element().is_some_and(|parent| {
                is_svg(parent) && !SILENT.contains(&parent.tag_name().name())
            });
            if !is_inner {
                findings.warning(
                    Some(node),
                    "unknown-element",
                    format!(
                        "{} cannot be read, and is left out with all in it",
                        spoken(node)
                    ),
                    "draw it as paths",
                );
            }
        }
    }
}

fn look_at_use(source: &Source<'_>, node: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let target = href(node).unwrap_or_default().trim();
    if source.linked(node).is_some() {
        let is_inside_itself = source
            .linked(node)
            .is_some_and(|linked| node.ancestors().any(|around| around.id() == linked.id()));
        if is_inside_itself {
            findings.warning(
                Some(node),
                "endless-use",
                format!("{} shows what it is part of, and is left out", spoken(node)),
                "take it out",
            );
        }
    } else if target.starts_with('#') || target.is_empty() {
        findings.warning(
            Some(node),
            "nothing-to-use",
            format!("{} shows \"{target}\", which is not there", spoken(node)),
            "take it out, or give the element it means that id",
        );
    } else {
        findings.warning(
            Some(node),
            "other-file",
            format!(
                "{} shows \"{target}\" from another file, which is not loaded",
                spoken(node)
            ),
            "copy it into the artwork",
        );
    }
}
