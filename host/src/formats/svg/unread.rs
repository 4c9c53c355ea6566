//! Rules and declarations that usvg does not come to, or applies where they do not hold.

use super::css::{self, first_unread, shortened};
use super::findings::Findings;
use super::sheets;
use super::source::spoken;
use roxmltree::Node;
use std::str::FromStr;

/// What to do about a style that is not read.
const PLAIN: &str = "write it as an attribute of the element, or save the drawing as plain SVG";

/// Whether usvg reads the sheet at all.
pub(super) fn is_read(sheet: Node<'_, '_>, findings: &mut Findings<'_, '_>) -> bool {
    let kind = sheet.attribute("type").unwrap_or("text/css");
    let is_css = kind.trim().is_empty() || kind.trim().eq_ignore_ascii_case("text/css");
    if is_css && kind != "text/css" {
        findings.warning(
            Some(sheet),
            "style-rule",
            format!(
                "this <style> is not read for its type \"{}\"",
                shortened(kind)
            ),
            "write type=\"text/css\", or nothing",
        );
    }
    kind == "text/css"
}

/// Reports what in a sheet, whose text without comments this is, does not come to an element as it is meant.
pub(super) fn look_at_sheet(sheet: Node<'_, '_>, text: &str, findings: &mut Findings<'_, '_>) {
    let media = sheet.attribute("media").unwrap_or_default().trim();
    if !["", "all", "screen"]
        .iter()
        .any(|own| media.eq_ignore_ascii_case(own))
    {
        findings.warning(
            Some(sheet),
            "style-rule",
            format!(
                "this <style> is for \"{}\" only, and yet its rules are applied",
                shortened(media)
            ),
            "take it out if they are not meant for sewing",
        );
    }
    let is_more = |node: Node<'_, '_>| {
        let text = if node.is_text() { node.text() } else { None };
        text.is_some_and(|text| !text.trim().is_empty())
    };
    if sheet.children().skip(1).any(is_more) {
        findings.warning(
            Some(sheet),
            "style-rule",
            "what follows an XML comment in this <style> is not read",
            "take the comment out, or write it as /* … */",
        );
    }
    for (selectors, body) in css::rules(text) {
        let mut names = css::declarations(body).map(|(name, _)| name);
        if !names.any(css::is_painting) {
            continue;
        }
        // usvg leaves out one that it cannot read, and all that follow it.
        let is_read = |one: &&str| sheets::selector(one).is_some() && !one.contains(":lang(");
        let mut unread = css::selectors(selectors).skip_while(is_read);
        if let Some(lost) = unread.find(|lost| !never_holds(lost)) {
            findings.warning(
                Some(sheet),
                "style-rule",
                format!(
                    "the rule for \"{}\" cannot be read, and is left out",
                    shortened(lost)
                ),
                "give the elements that it means a class, and write the rule for that",
            );
            continue;
        }
        if let Some(lost) = nested(body).or_else(|| first_unread(body)) {
            findings.warning(
                Some(sheet),
                "style-part",
                format!(
                    "in the rule for \"{}\", \"{lost}\" is not read",
                    shortened(selectors)
                ),
                "write a semicolon between declarations, and nothing that is none",
            );
        }
    }
    look_at_values(sheet, css::declarations(text), "this <style>", findings);
}

/// The first rule within a rule.
fn nested(body: &str) -> Option<String> {
    let (before, _) = body.split_once('{')?;
    let start = before.rfind(';').map_or(0, |end| end + 1);
    Some(shortened(&before[start..]))
}

/// Whether a selector is about what is never so in a drawing at rest.
fn never_holds(selector: &str) -> bool {
    let states = [
        "::",
        ":focus",
        ":target",
        ":checked",
        ":disabled",
        ":before",
        ":after",
    ];
    states.iter().any(|state| selector.contains(state))
}

/// Reports what in an element's own style is not read.
pub(super) fn look_at_element(node: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    let style = node.attribute("style").unwrap_or_default();
    if let Some(lost) = first_unread(style) {
        findings.warning(
            Some(node),
            "style-part",
            format!("\"{lost}\" in the style of {} is not read", spoken(node)),
            "write a semicolon between declarations, and nothing that is none",
        );
    }
    let attributes = node
        .attributes()
        .filter(|attribute| attribute.namespace().is_none());
    let attributes = attributes.map(|attribute| (attribute.name(), attribute.value()));
    // XML has case: an attribute in capitals is none of SVG's.
    let attributes =
        attributes.filter(|(name, _)| !name.contains(|c: char| c.is_ascii_uppercase()));
    let all = css::declarations(style).chain(attributes);
    look_at_values(node, all, &spoken(node), findings);
}

/// Reports declarations that usvg does not know by their case, or whose value it cannot work out.
fn look_at_values<'d>(
    node: Node<'_, '_>,
    declarations: impl Iterator<Item = (&'d str, &'d str)>,
    whose: &str,
    findings: &mut Findings<'_, '_>,
) {
    for (name, value) in declarations.filter(|(name, _)| css::is_painting(name)) {
        let why = if name.contains(|c: char| c.is_ascii_uppercase()) {
            "its name must be in small letters"
        } else if ["fill", "stroke", "stop-color", "color"].contains(&name) {
            // Told as colours.
            continue;
        } else if is_reckoned(value) {
            "it would have to be worked out"
        } else if name == "stroke-width" && !is_width(value) {
            "it is no number in a unit that can be read"
        } else {
            continue;
        };
        let message = format!(
            "{name} \"{}\" of {whose} is not read: {why}",
            shortened(value)
        );
        findings.warning(Some(node), "style-part", message, PLAIN);
    }
}

/// Whether a value is one of CSS's functions of other values.
fn is_reckoned(value: &str) -> bool {
    let functions = ["calc(", "var(", "min(", "max(", "clamp(", "env(", "attr("];
    functions.iter().any(|function| value.contains(function))
}

/// Whether usvg takes a stroke's width as it is said; it would take another as 1.
fn is_width(value: &str) -> bool {
    ["inherit", "initial"].contains(&value) || svgtypes::Length::from_str(value).is_ok()
}
