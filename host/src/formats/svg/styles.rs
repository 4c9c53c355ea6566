//! What styles say that usvg passes over, or takes otherwise than it is meant.

use super::css::{self, declarations};
use super::findings::Findings;
use super::source::{Source, spoken};
use crate::diagnostics::Diagnostic;
use roxmltree::Node;

/// Each rule is held against each element: so many times at most, which takes a few seconds. A drawing with a class
/// for every colour needs thousands.
const MOST_MATCHES: usize = 50_000_000;

/// Refuses style sheets whose rules would be held against elements for minutes.
///
/// # Errors
/// How many rules and elements there are, at the first style sheet.
pub(super) fn check(source: &Source<'_>) -> Result<(), Diagnostic> {
    let elements = || source.xml.descendants().filter(Node::is_element);
    let sheets = || elements().filter(|node| node.tag_name().name() == "style");
    let Some(first) = sheets().next() else {
        return Ok(());
    };
    // What comes before a brace or a comma: no fewer than there are selectors.
    let marks = |node: Node<'_, '_>| {
        let text = node.text().unwrap_or_default();
        text.bytes()
            .filter(|byte| matches!(byte, b'{' | b','))
            .count()
    };
    let (rules, elements) = (sheets().map(marks).sum::<usize>(), elements().count());
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

/// Reports what an element's style says that usvg passes over.
pub(super) fn look_at_element(
    source: &Source<'_>,
    node: Node<'_, '_>,
    findings: &mut Findings<'_, '_>,
) {
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
    for property in ["fill", "stroke"] {
        if let Some(value) = css::property(node, property).filter(|value| !is_known_paint(value)) {
            unknown_paint(node, property, value, findings);
        }
    }
}

/// Reports what a style sheet says that usvg passes over.
pub(super) fn look_at_sheet(sheet: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let text = sheet.text().unwrap_or_default();
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
            "fill" | "stroke" if !is_known_paint(value) => {
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

/// Whether usvg knows the paint: it would take another as black, or as none.
fn is_known_paint(value: &str) -> bool {
    let value = value.split('!').next().unwrap_or_default().trim();
    let lower = value.to_ascii_lowercase();
    let words = [
        "none",
        "inherit",
        "currentcolor",
        "context-fill",
        "context-stroke",
    ];
    match lower.split_once('(') {
        Some((function, _)) => ["rgb", "rgba", "hsl", "hsla", "url"].contains(&function.trim()),
        None => words.contains(&lower.as_str()) || csscolorparser::parse(&lower).is_ok(),
    }
}

fn unknown_paint(node: Node<'_, '_>, property: &str, value: &str, findings: &mut Findings<'_, '_>) {
    let instead = match property {
        "fill" => "black",
        _ => "no stroke",
    };
    findings.warning(
        Some(node),
        "unknown-colour",
        format!("{property} \"{value}\" is not a colour that can be read; {instead} is taken"),
        "write it as #rrggbb",
    );
}
