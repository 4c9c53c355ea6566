//! What styles say that usvg passes over, or takes otherwise than it is meant.

use super::css::{self, declarations};
use super::findings::Findings;
use super::sheets::Sheets;
use super::source::{Source, spoken};
use super::{placing, symbols, unread};
use crate::diagnostics::Diagnostic;
use roxmltree::Node;

/// Each rule is held against each element: so many times at most, which takes a few seconds. A drawing with a class
/// for every colour needs thousands.
const MOST_MATCHES: usize = 50_000_000;

/// usvg counts lines up to each declaration, all over again: so many bytes at most, which takes a few seconds.
const MOST_COUNTED: usize = 4_000_000_000;

/// A rule's declarations are kept for each of its selectors: so many at most.
const MOST_KEPT: usize = 2_000_000;

/// Refuses style sheets whose rules would be held against elements for minutes, and styles so long that reading
/// them would take as long.
///
/// # Errors
/// How many rules and elements there are, at the first style sheet; or which style is too long.
pub(super) fn check(source: &Source<'_>) -> Result<(), Diagnostic> {
    let elements = || source.xml.descendants().filter(Node::is_element);
    let mut counted: usize = 0;
    let mut kept: usize = 0;
    for node in elements() {
        let mut add = |text: &str| {
            let declarations = marks(text, b";{");
            counted = counted.saturating_add(declarations.saturating_mul(text.len()));
        };
        add(node.attribute("style").unwrap_or_default());
        if node.tag_name().name() == "style" {
            let text = node.text().unwrap_or_default();
            add(text);
            for (selectors, body) in css::rules(&css::without_comments(text)) {
                let of_each = (marks(selectors, b",") + 1).saturating_mul(marks(body, b";") + 1);
                kept = kept.saturating_add(of_each);
            }
        }
        if counted > MOST_COUNTED || kept > MOST_KEPT {
            let message = format!("{} brings more styles than can be read", spoken(node));
            return Err(source
                .place(Diagnostic::error("too-many-rules", message), node)
                .help("save the artwork with plain attributes"));
        }
    }
    let Some(first) = source.sheets().next() else {
        return Ok(());
    };
    // What comes before a brace or a comma: no fewer than there are selectors.
    let of_sheet = |node: Node<'_, '_>| marks(node.text().unwrap_or_default(), b"{,");
    let (rules, elements) = (
        source.sheets().map(of_sheet).sum::<usize>(),
        elements().count(),
    );
    if rules.saturating_mul(elements) <= MOST_MATCHES {
        return Ok(());
    }
    let message = format!(
        "the style sheets have {rules} rules for {elements} elements: to hold each against each takes too long"
    );
    Err(source
        .place(Diagnostic::error("too-many-rules", message), first)
        .help("save the artwork with plain attributes, or without the rules that it does not use"))
}

fn marks(text: &str, which: &[u8]) -> usize {
    text.bytes().filter(|byte| which.contains(byte)).count()
}

/// What is asked of each element that is painted.
pub(super) struct Looks<'s, 'a, 't> {
    source: &'s Source<'a>,
    sheets: &'s Sheets<'t>,
    /// Whether a paint is `currentColor` anywhere: only then it matters what `color` is.
    uses_colour: bool,
}

impl<'s, 'a, 't> Looks<'s, 'a, 't> {
    pub fn new(source: &'s Source<'a>, sheets: &'s Sheets<'t>) -> Self {
        Self {
            source,
            sheets,
            uses_colour: source.text.contains("currentColor"),
        }
    }

    /// Reports what is said of an element that usvg passes over, or takes otherwise.
    pub fn at_element(&self, node: Node<'s, 'a>, findings: &mut Findings<'_, '_>) {
        look_at_element(self.source, node, findings);
        if self.uses_colour
            && let Some(value) =
                css::property(node, "color").filter(|value| !is_known_colour(value))
        {
            unknown_paint(node, "color", value, findings);
        }
        unread::look_at_element(node, findings);
        placing::look_at_element(node, &self.sheets.declared(node), findings);
        symbols::look_at_element(self.source, node, findings);
    }
}

/// Reports what an element's style says that usvg passes over.
fn look_at_element(source: &Source<'_>, node: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let own = ["marker-start", "marker-mid", "marker-end", "marker"]
        .into_iter()
        .filter_map(|name| css::property(node, name));
    if own.into_iter().any(|value| value != "none") {
        findings.warning(
            Some(node),
            "markers",
            format!("the markers of {} are left out", spoken(node)),
            "convert the stroke and its markers to paths",
        );
    }
    if css::property(node, "vector-effect") == Some("non-scaling-stroke") {
        findings.warning(
            Some(node),
            "fixed-stroke",
            format!(
                "the stroke of {} should not scale (vector-effect), but does",
                spoken(node)
            ),
            "set its width in the drawing's own units",
        );
    }
    for property in ["fill", "stroke", "clip-path", "mask"] {
        let value = css::property(node, property).unwrap_or_default();
        let missing = css::urls(value).find(|id| source.by_id(id).is_none());
        if let Some(id) = missing {
            findings.warning(
                Some(node),
                "missing-reference",
                format!("{property} refers to \"#{id}\", which is not there, and is left out"),
                "take it out, or give the element it means that id",
            );
        }
    }
    for property in ["fill", "stroke", "clip-path", "mask", "filter"] {
        let value = css::property(node, property).unwrap_or_default();
        look_at_ids(source, node, value, findings);
    }
    for property in ["fill", "stroke"] {
        if let Some(value) = css::property(node, property).filter(|value| !is_known_paint(value)) {
            unknown_paint(node, property, value, findings);
        }
    }
}

/// Reports references whose meaning is open: browsers take the first element that has the id, usvg the last.
fn look_at_ids(
    source: &Source<'_>,
    node: Node<'_, '_>,
    value: &str,
    findings: &mut Findings<'_, '_>,
) {
    for id in css::urls(value).filter(|id| source.is_ambiguous(id)) {
        findings.warning(
            Some(node),
            "ambiguous-reference",
            format!(
                "\"#{}\" is the id of several elements; the last of them is taken, where browsers take the first",
                css::shortened(id)
            ),
            "give each of them an id of its own",
        );
    }
}

/// Reports a gradient's stop whose colour usvg does not know.
pub(super) fn look_at_stop(stop: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let value = css::property(stop, "stop-color");
    if let Some(value) = value.filter(|value| !is_known_paint(value)) {
        unknown_paint(stop, "stop-color", value, findings);
    }
}

/// Reports what a style sheet says that usvg passes over.
pub(super) fn look_at_sheet(
    source: &Source<'_>,
    sheet: Node<'_, '_>,
    findings: &mut Findings<'_, '_>,
) {
    if !unread::is_read(sheet, findings) {
        return;
    }
    let text = &*css::without_comments(sheet.text().unwrap_or_default());
    look_at_ids(source, sheet, text, findings);
    unread::look_at_sheet(sheet, text, findings);
    for rule in ["@import", "@media", "@supports", "@layer"] {
        if text.contains(rule) {
            findings.warning(
                Some(sheet),
                "style-rule",
                format!("{rule} in this <style> is left out, with the rules in it"),
                "write plain rules",
            );
        }
    }
    for (name, value) in declarations(text) {
        match name {
            "fill" | "stroke" | "stop-color" if !is_known_paint(value) => {
                unknown_paint(sheet, name, value, findings);
            }
            "marker" | "marker-start" | "marker-mid" | "marker-end" if value != "none" => {
                findings.warning(
                    Some(sheet),
                    "markers",
                    "the markers that this <style> gives are left out",
                    "convert strokes with markers to paths",
                );
            }
            "vector-effect" if value == "non-scaling-stroke" => findings.warning(
                Some(sheet),
                "fixed-stroke",
                "strokes that this <style> keeps from scaling (vector-effect) do scale",
                "set their width in the drawing's own units",
            ),
            _ => {}
        }
    }
}

/// Whether usvg knows the paint: it would take another as black, or as none. It is asked of the reader that usvg
/// asks. `initial` is black or none as well.
fn is_known_paint(value: &str) -> bool {
    value == "initial" || (svgtypes::Paint::from_str(value).is_ok() && !is_mixed(value))
}

/// Whether numbers stand beside percentages in `rgb(…)`: usvg takes them for each other. With commas it is no
/// colour at all (CSS Color 4 section 5.1).
fn is_mixed(value: &str) -> bool {
    let Some((name, rest)) = value.split_once('(') else {
        return false;
    };
    let is_rgb = ["rgb", "rgba"]
        .iter()
        .any(|own| name.trim().eq_ignore_ascii_case(own));
    let between = |c: char| c == ',' || c == ')' || c.is_whitespace();
    let parts = rest.split(between).filter(|part| !part.is_empty()).take(3);
    let shares = parts.filter(|part| part.ends_with('%')).count();
    is_rgb && ![0, 3].contains(&shares)
}

/// Whether usvg knows the value of `color`, or passes it over rightly.
fn is_known_colour(value: &str) -> bool {
    let words = ["inherit", "initial", "unset", "revert"];
    let is_word = words.iter().any(|word| value.eq_ignore_ascii_case(word));
    is_word || is_known_paint(value)
}

fn unknown_paint(node: Node<'_, '_>, property: &str, value: &str, findings: &mut Findings<'_, '_>) {
    let instead = match property {
        _ if is_mixed(value) => "another colour",
        "stroke" => "no stroke",
        _ => "black",
    };
    findings.warning(
        Some(node),
        "unknown-colour",
        format!(
            "{property} \"{}\" is not a colour that can be read; {instead} is taken",
            css::shortened(value)
        ),
        "write it as #rrggbb",
    );
}
