//! A look through the XML for what does not reach the paths, so that nothing vanishes in silence.

use super::css;
use super::findings::Findings;
use super::sheets::{self, Sheets};
use super::source::{Source, href, id_of, is_named, is_shape, is_svg, spoken};
use super::styles;
use roxmltree::{Node, NodeId};
use std::collections::{BTreeMap, BTreeSet};

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

/// What shows its content only through what refers to it, and shows it as something else.
const CUTS_OR_FILLS: [&str; 4] = ["clipPath", "mask", "marker", "pattern"];

/// What is known of the elements before they are looked at one by one.
struct Known<'t> {
    sheets: Sheets<'t>,
    /// The outermost hidden element around each that is hidden.
    hidden: BTreeMap<usize, NodeId>,
    /// The elements that a `use` shows.
    shown: BTreeSet<usize>,
    /// The ids of clip paths that something has.
    clips: BTreeSet<String>,
    /// Where to look for what hides a shape.
    look_at: &'static str,
}

impl<'t> Known<'t> {
    fn new(source: &Source<'_>, texts: &'t [String]) -> Self {
        let sheets = Sheets::new(texts);
        let mut hidden = BTreeMap::new();
        let mut inside = BTreeSet::new();
        let mut shown = BTreeSet::new();
        let mut clips: BTreeSet<String> = BTreeSet::new();
        let in_sheets = texts.iter().flat_map(|text| css::urls(text));
        clips.extend(in_sheets.map(str::to_owned));
        for node in source.xml.descendants().filter(|node| is_svg(*node)) {
            let id = node.id().get_usize();
            let parent = node.parent_element();
            let around = parent.and_then(|parent| hidden.get(&parent.id().get_usize()).copied());
            let declared = sheets.declared(node);
            let display = declared.get("display").copied();
            let is_off = display.or(node.attribute("display")) == Some("none");
            if let Some(outermost) = around.or(is_off.then(|| node.id())) {
                hidden.insert(id, outermost);
            }
            let is_inside = parent.is_some_and(|parent| {
                inside.contains(&parent.id().get_usize())
                    || CUTS_OR_FILLS.contains(&parent.tag_name().name())
            });
            if is_inside {
                inside.insert(id);
            }
            let shows = is_named(node, "use") && !is_inside && !hidden.contains_key(&id);
            if shows && let Some(target) = source.linked(node) {
                shown.insert(target.id().get_usize());
            }
            let clip = css::property(node, "clip-path").unwrap_or_default();
            clips.extend(css::urls(clip).map(str::to_owned));
        }
        Self {
            sheets,
            hidden,
            shown,
            clips,
            look_at: if texts.is_empty() {
                "look at its attributes"
            } else {
                "look at the rules in <style> and at its attributes"
            },
        }
    }
}

/// Reports everything that is painted but has no path, or is read otherwise than it is meant. `seen` are the
/// shapes that have a path.
pub(super) fn survey(source: &Source<'_>, seen: &BTreeSet<usize>, findings: &mut Findings<'_, '_>) {
    let texts = sheets::texts(source);
    let known = Known::new(source, &texts);
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
    for sheet in source.sheets() {
        styles::look_at_sheet(source, sheet, findings);
    }
    let looks = styles::Looks::new(source, &known.sheets);
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
            _ if known.shown.contains(&node.id().get_usize()) => true,
            Some(parent) => {
                let name = parent.tag_name().name();
                let is_kept = NOT_PAINTED_HERE.contains(&name)
                    && !known.shown.contains(&parent.id().get_usize());
                painted.contains(&parent.id().get_usize()) && !is_kept
            }
        };
        if !is_painted {
            look_at_unpainted(node, &known, findings);
            continue;
        }
        painted.insert(node.id().get_usize());
        let has_path = seen.contains(&node.id().get_usize());
        if is_shape(node) || ["use", "text", "image"].contains(&node.tag_name().name()) {
            let outermost = known
                .hidden
                .get(&node.id().get_usize())
                .filter(|_| !has_path);
            if let Some(outermost) = outermost.and_then(|&id| source.xml.get_node(id)) {
                hidden(outermost, findings);
                continue;
            }
        }
        if !is_shape(node) {
            look_at_other(source, node, findings);
        } else if !has_path {
            look_at_shape(node, known.look_at, findings);
        }
        looks.at_element(node, findings);
    }
}

fn hidden(outermost: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    findings.note(
        Some(outermost),
        "hidden",
        format!("{} is hidden, and is left out", spoken(outermost)),
        "show it in the drawing program if it is to be sewn",
    );
}

/// What is not painted where it stands, and yet has to do with what is.
fn look_at_unpainted(node: Node<'_, '_>, known: &Known<'_>, findings: &mut Findings<'_, '_>) {
    match node.tag_name().name() {
        "stop" => styles::look_at_stop(node, findings),
        "text" => {
            let mut around = node.ancestors().skip(1);
            let clip = around.find(|around| is_named(*around, "clipPath"));
            let id = clip.and_then(id_of);
            if let Some(id) = id.filter(|id| known.clips.contains(*id)) {
                findings.warning(
                    Some(node),
                    "text",
                    format!(
                        "the text \"{}\" in the clip path \"{id}\" is left out: it lets nothing through",
                        words(node)
                    ),
                    "convert it to paths in the drawing program",
                );
            }
        }
        _ => {}
    }
}

/// The text within an element, in one line.
fn words(node: Node<'_, '_>) -> String {
    let texts = node.descendants().filter(Node::is_text);
    let words: String = texts.filter_map(|text| text.text()).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    let words = words.join(" ");
    if words.chars().count() > 40 {
        words.chars().take(40).collect::<String>() + "…"
    } else {
        words
    }
}

/// A shape without a path. `look_at` says where to look for what hides it.
fn look_at_shape(shape: Node<'_, '_>, look_at: &'static str, findings: &mut Findings<'_, '_>) {
    let enclosing = || shape.ancestors().filter(Node::is_element);
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
            findings.warning(
                Some(node),
                "text",
                format!(
                    "the text \"{}\" is left out: no font is loaded",
                    words(node)
                ),
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
