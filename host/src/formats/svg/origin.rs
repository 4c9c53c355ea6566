//! Which element each of usvg's paths came from.
//!
//! usvg keeps an element's id, but not beneath a `use`, and keeps no place in the source. So a
//! second copy of the artwork is resolved in which every shape is filled with its own number as
//! a colour, and every `use` has its own number as its opacity. Neither changes which paths there
//! are, nor their order: path by path, the copy's fill names the element and the opacities of the
//! groups around it name the `use` elements.

use super::css;
use super::source::{SVG, Source, XLINK, is_named, is_shape, is_svg};
use roxmltree::{Node, NodeId, NodeType};
use usvg::{ImageHrefResolver, Options};

/// Where a path came from.
#[derive(Clone, Debug)]
pub(super) struct Origin {
    /// The shape.
    pub element: NodeId,
    /// The `use` elements that show it, outermost first.
    pub uses: Vec<NodeId>,
}

/// A `use`'s opacity is its number divided by this, exactly.
const STEPS: f64 = (1 << 22) as f64;

/// How usvg resolves the artwork: it loads nothing, paints no page background, and leaves
/// markers out (the survey reports those). An `em` is as large as in browsers where no font size is
/// given: `medium`, which is 16 px in all of them (CSS Fonts 4 section 2.5 leaves it to them).
pub(super) fn options() -> Options<'static> {
    Options {
        font_size: 16.0,
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        style_sheet: Some(
            "* { marker-start: none !important; marker-mid: none !important; \
             marker-end: none !important; background-color: none !important }"
                .to_owned(),
        ),
        ..Options::default()
    }
}

/// The origin of every path in the artwork's usvg tree, in the order of a walk over it. Empty
/// where the copy cannot be resolved; nothing for a path whose number names no shape.
pub(super) fn of_paths(source: &Source<'_>) -> Vec<Option<Origin>> {
    let copy = numbered_copy(source);
    let mut origins = Vec::new();
    if let Ok(tree) = usvg::Tree::from_str(&copy, &options()) {
        collect(source, tree.root(), &mut Vec::new(), &mut origins);
    }
    origins
}

fn collect(
    source: &Source<'_>,
    group: &usvg::Group,
    uses: &mut Vec<NodeId>,
    origins: &mut Vec<Option<Origin>>,
) {
    let number = (f64::from(group.opacity().get()) * STEPS).round() as u32;
    let shown_by = element(source, number).filter(|node| is_named(*node, "use"));
    uses.extend(shown_by.map(|node| node.id()));
    for child in group.children() {
        match child {
            usvg::Node::Group(inner) => collect(source, inner, uses, origins),
            usvg::Node::Path(path) => {
                let number = path.fill().and_then(|fill| match fill.paint() {
                    usvg::Paint::Color(c) => Some(u32::from_be_bytes([0, c.red, c.green, c.blue])),
                    _ => None,
                });
                let shape = number.and_then(|number| element(source, number));
                origins.push(shape.filter(|node| is_shape(*node)).map(|node| Origin {
                    element: node.id(),
                    uses: uses.clone(),
                }));
            }
            usvg::Node::Image(_) | usvg::Node::Text(_) => {}
        }
    }
    if shown_by.is_some() {
        uses.pop();
    }
}

fn element<'s, 'a>(source: &'s Source<'a>, number: u32) -> Option<Node<'s, 'a>> {
    // usvg's own opacity of 1 is STEPS, above every number.
    if f64::from(number) >= STEPS {
        return None;
    }
    source.xml.get_node(NodeId::new(number))
}

/// The artwork with numbers for fills and for the opacities of `use` elements. Written anew from
/// the parsed XML, so that entities are resolved and an element made by one has a number too.
fn numbered_copy(source: &Source<'_>) -> String {
    let mut out = String::with_capacity(source.text.len() * 2);
    let root = source.xml.root_element();
    let mut node = root;
    loop {
        open(node, node == root, &mut out);
        if let Some(child) = node.first_element_child() {
            node = child;
            continue;
        }
        close(node, &mut out);
        // Up to the next element that has not been written.
        loop {
            if node == root {
                return out;
            }
            if let Some(next) = node.next_sibling_element() {
                node = next;
                break;
            }
            let Some(parent) = node.parent_element() else {
                return out;
            };
            node = parent;
            close(node, &mut out);
        }
    }
}

fn open(node: Node<'_, '_>, is_root: bool, out: &mut String) {
    out.push('<');
    push_name(node, out);
    if is_root {
        out.push_str(&format!(
            r#" xmlns:s="{SVG}" xmlns:x="{XLINK}" xmlns:o="urn:other""#
        ));
    }
    for attribute in node.attributes() {
        let prefix = match attribute.namespace() {
            None if attribute.name() == "style" => continue,
            None => "",
            Some(SVG) => "s:",
            Some(XLINK) => "x:",
            Some(roxmltree::NS_XML_URI) => "xml:",
            Some(_) => continue,
        };
        out.extend([" ", prefix, attribute.name(), "=\""]);
        push_escaped(attribute.value(), out);
        out.push('"');
    }
    out.push_str(" style=\"");
    let number = node.id().get();
    if is_shape(node) {
        out.push_str(&format!(
            "fill:#{number:06x}!important;opacity:1!important;"
        ));
    } else if is_named(node, "use") {
        let opacity = f64::from(number) / STEPS;
        out.push_str(&format!("opacity:{opacity:.24}!important;"));
    } else if is_svg(node) {
        out.push_str("opacity:1!important;");
    }
    push_escaped(node.attribute("style").unwrap_or_default(), out);
    out.push_str("\">");
    if node.tag_name().name() == "style" {
        // usvg, too, takes a style sheet from an element's first text alone.
        let sheet = node.text().unwrap_or_default();
        push_escaped(&css::without_important_paint(sheet), out);
    }
}

fn close(node: Node<'_, '_>, out: &mut String) {
    debug_assert_eq!(node.node_type(), NodeType::Element);
    out.push_str("</");
    push_name(node, out);
    out.push('>');
}

fn push_name(node: Node<'_, '_>, out: &mut String) {
    out.push_str(match node.tag_name().namespace() {
        None => "",
        Some(SVG) => "s:",
        Some(_) => "o:",
    });
    out.push_str(node.tag_name().name());
}

fn push_escaped(text: &str, out: &mut String) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("&#10;"),
            '\r' => out.push_str("&#13;"),
            '\t' => out.push_str("&#9;"),
            _ => out.push(c),
        }
    }
}
