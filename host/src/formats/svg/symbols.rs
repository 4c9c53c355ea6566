//! Where usvg shows a `symbol` otherwise than browsers do.

use super::css;
use super::findings::Findings;
use super::source::{Source, is_named, is_shape, spoken};
use roxmltree::Node;

/// Reports what an element has to do with a symbol that is read otherwise than it is meant.
pub(super) fn look_at_element<'s, 'a>(
    source: &'s Source<'a>,
    node: Node<'s, 'a>,
    findings: &mut Findings<'_, '_>,
) {
    if is_named(node, "use") {
        let symbol = source
            .linked(node)
            .filter(|target| is_named(*target, "symbol"));
        if let Some(symbol) = symbol {
            look_at_use(node, symbol, findings);
        }
    } else if is_shape(node) && has_share(node) {
        let is_page =
            |around: &Node<'_, '_>| is_named(*around, "svg") || is_named(*around, "symbol");
        let page = node.ancestors().find(is_page);
        if page.is_some_and(|page| is_named(page, "symbol")) {
            findings.warning(
                Some(node),
                "symbol",
                format!(
                    "the percentages of {} are not taken of its symbol",
                    spoken(node)
                ),
                "write them as plain numbers",
            );
        }
    }
}

fn look_at_use(node: Node<'_, '_>, symbol: Node<'_, '_>, findings: &mut Findings<'_, '_>) {
    // SVG 2 section 5.6: the symbol's own size holds where the `use` gives none.
    let is_sized = |name: &&str| {
        let own = symbol
            .attribute(*name)
            .filter(|value| !["auto", "100%"].contains(value));
        own.is_some() && !node.has_attribute(*name)
    };
    if symbol.has_attribute("viewBox") && ["width", "height"].iter().any(is_sized) {
        findings.warning(
            Some(node),
            "symbol",
            format!(
                "{} does not take the size that {} has",
                spoken(node),
                spoken(symbol)
            ),
            "give the <use> the width and height",
        );
    }
    let is_moved = |name: &&str| {
        node.attribute(*name)
            .is_some_and(|value| value.trim() != "0")
    };
    let is_cut = ["clip-path", "mask"].iter().any(|name| {
        let value = css::property(node, name).unwrap_or_default();
        css::urls(value).next().is_some()
    });
    if is_cut && ["x", "y"].iter().any(is_moved) {
        findings.warning(
            Some(node),
            "symbol",
            format!(
                "the clip path or mask of {} is moved by its x and y",
                spoken(node)
            ),
            "move it by a transform of a group around it",
        );
    }
}

/// Whether the place or size of a shape is given in percent.
fn has_share(shape: Node<'_, '_>) -> bool {
    let lengths = [
        "x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2",
    ];
    let is_share = |name: &&str| {
        shape
            .attribute(*name)
            .is_some_and(|value| value.ends_with('%'))
    };
    lengths.iter().any(is_share)
}
