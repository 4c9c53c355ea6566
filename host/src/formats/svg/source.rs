//! The artwork's XML: what each element is called, what it is tagged with and where it stands.

use super::css;
use super::origin::Origin;
use crate::diagnostics::Diagnostic;
use roxmltree::{Document, Node, NodeId, ParsingOptions};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::Path;

/// SVG's namespace.
pub(super) const SVG: &str = "http://www.w3.org/2000/svg";
/// The namespace of `xlink:href`.
pub(super) const XLINK: &str = "http://www.w3.org/1999/xlink";
/// More nodes than this are not read. Below 2^21, which [`super::origin`] counts on.
const MOST_NODES: u32 = 2_000_000;

/// SVG's basic shapes and the path: all that can be painted without a font or a picture.
const SHAPES: [&str; 7] = [
    "path", "rect", "circle", "ellipse", "line", "polyline", "polygon",
];

/// The parsed file.
pub(super) struct Source<'a> {
    pub text: &'a str,
    pub file: &'a Path,
    pub xml: Document<'a>,
    by_id: BTreeMap<String, NodeId>,
    /// The last of the elements that share an id.
    last_by_id: BTreeMap<String, NodeId>,
    /// The ids whose first and last element are not written alike.
    ambiguous: BTreeSet<String>,
    ordinals: BTreeMap<usize, usize>,
}

impl<'a> Source<'a> {
    /// Parses the text, or says where it is not XML or not SVG.
    pub fn parse(text: &'a str, file: &'a Path) -> Result<Self, Diagnostic> {
        let options = ParsingOptions {
            // Many drawing programs write a DTD. Entities are expanded with limits; external
            // ones are never loaded.
            allow_dtd: true,
            nodes_limit: MOST_NODES,
            ..ParsingOptions::default()
        };
        let xml = Document::parse_with_options(text, options)
            .map_err(|error| xml_error(text, file, &error))?;
        let root = xml.root_element();
        if !is_svg(root) || root.tag_name().name() != "svg" {
            return Err(Diagnostic::error(
                "not-svg",
                format!(
                    "the file's outermost element is <{}>, not SVG's <svg>",
                    root.tag_name().name()
                ),
            )
            .in_file(file)
            .at(text, tag_range(root))
            .help("save the drawing as plain SVG"));
        }
        let mut by_id = BTreeMap::new();
        let mut last_by_id = BTreeMap::new();
        let mut ambiguous = BTreeSet::new();
        let mut ordinals = BTreeMap::new();
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for node in xml.descendants().filter(Node::is_element) {
            if let Some(id) = node.attribute("id").filter(|id| !id.trim().is_empty()) {
                match by_id.get(id).and_then(|&first| xml.get_node(first)) {
                    Some(first) => {
                        last_by_id.insert(id.to_owned(), node.id());
                        if text.get(first.range()) == text.get(node.range()) {
                            ambiguous.remove(id);
                        } else {
                            ambiguous.insert(id.to_owned());
                        }
                    }
                    None => {
                        by_id.insert(id.to_owned(), node.id());
                    }
                }
            }
            if is_shape(node) || is_named(node, "use") {
                let count = counts.entry(node.tag_name().name()).or_default();
                *count += 1;
                ordinals.insert(node.id().get_usize(), *count);
            }
        }
        Ok(Self {
            text,
            file,
            by_id,
            last_by_id,
            ambiguous,
            ordinals,
            xml,
        })
    }

    /// The element with this id.
    pub fn by_id(&self, id: &str) -> Option<Node<'_, 'a>> {
        self.xml.get_node(*self.by_id.get(id)?)
    }

    /// The last element with this id, where several have it: what usvg takes for `url(#id)`. The first is right
    /// (DOM section 4.2.4, `getElementById`: "the first element, in tree order").
    pub fn last_by_id(&self, id: &str) -> Option<Node<'_, 'a>> {
        self.xml.get_node(*self.last_by_id.get(id)?)
    }

    /// Whether several elements have this id, and the first and the last of them differ.
    pub fn is_ambiguous(&self, id: &str) -> bool {
        self.ambiguous.contains(id)
    }

    /// The style sheets.
    pub fn sheets(&self) -> impl Iterator<Item = Node<'_, 'a>> {
        let nodes = self.xml.descendants();
        nodes.filter(|node| node.is_element() && node.tag_name().name() == "style")
    }

    /// The element that this one's `href` points at, where that is in this file.
    pub fn linked(&self, node: Node<'_, 'a>) -> Option<Node<'_, 'a>> {
        self.by_id(href(node)?.trim().strip_prefix('#')?)
    }

    /// A finding about `node` points at its name in the file.
    pub fn place(&self, diagnostic: Diagnostic, node: Node<'_, '_>) -> Diagnostic {
        diagnostic.in_file(self.file).at(self.text, tag_range(node))
    }

    /// The drawing's title: the root's `<title>`, or else the file's name.
    pub fn title(&self) -> String {
        title_of(self.xml.root_element()).unwrap_or_else(|| {
            let stem = self.file.file_stem().unwrap_or_default();
            stem.to_string_lossy().into_owned()
        })
    }

    /// What the object made of this element is called: its id, or its kind and its number among
    /// those of its kind, such as `path-12`.
    pub fn label(&self, node: Node<'_, '_>) -> String {
        match id_of(node) {
            Some(id) => id.to_owned(),
            None => {
                let ordinal = self
                    .ordinals
                    .get(&node.id().get_usize())
                    .copied()
                    .unwrap_or(0);
                format!("{}-{ordinal}", node.tag_name().name())
            }
        }
    }

    /// The element and all that encloses it, from the inside out, without the root; where it is
    /// shown by a `use`, on from the shown element to the `use` and what encloses that.
    pub fn enclosing(&self, origin: &Origin) -> Vec<Node<'_, 'a>> {
        let mut found = Vec::new();
        let mut uses = origin.uses.iter().rev();
        let mut start = self.xml.get_node(origin.element);
        while let Some(inner) = start {
            let shown_by = uses.next().and_then(|&id| self.xml.get_node(id));
            let target = shown_by.and_then(|node| self.linked(node));
            for node in inner.ancestors().filter(|node| node.is_element()) {
                if node.id() != self.xml.root_element().id() {
                    found.push(node);
                }
                if target.is_some_and(|target| target.id() == node.id()) {
                    break;
                }
            }
            start = shown_by;
        }
        found
    }

    /// Ids, classes, titles and labels of the element and of all that encloses it.
    pub fn tags(&self, origin: &Origin) -> Vec<String> {
        let mut tags: Vec<String> = Vec::new();
        for node in self.enclosing(origin) {
            let id = id_of(node).map(str::to_owned);
            let classes = node.attribute("class").unwrap_or_default();
            let classes = classes.split_whitespace().map(str::to_owned);
            for tag in id
                .into_iter()
                .chain(classes)
                .chain(title_of(node))
                .chain(written_label(node))
            {
                if !tags.contains(&tag) {
                    tags.push(tag);
                }
            }
        }
        tags
    }

    /// What people call the element: its title or label, or that of the `use` that shows it.
    pub fn written_name(&self, origin: &Origin) -> Option<String> {
        let element = self.xml.get_node(origin.element);
        let shown_by = origin.uses.iter().rev().map(|&id| self.xml.get_node(id));
        std::iter::once(element)
            .chain(shown_by)
            .flatten()
            .find_map(|node| title_of(node).or_else(|| written_label(node)))
    }

    /// The innermost of the element and all that encloses it that carries `property`, as an
    /// attribute or in its style; else the element.
    pub fn bearer(&self, origin: &Origin, property: &str) -> Option<Node<'_, 'a>> {
        let enclosing = self.enclosing(origin);
        let bears = |node: &&Node<'_, '_>| css::property(**node, property).is_some();
        enclosing.iter().find(bears).or(enclosing.first()).copied()
    }
}

/// How messages speak of an element.
pub(super) fn spoken(node: Node<'_, '_>) -> String {
    let name = node.tag_name().name();
    match id_of(node) {
        Some(id) => format!("<{name}> \"{id}\""),
        None => format!("this <{name}>"),
    }
}

/// Whether the element is SVG's. Elements without a namespace count: usvg reads them too.
pub(super) fn is_svg(node: Node<'_, '_>) -> bool {
    node.is_element() && matches!(node.tag_name().namespace(), None | Some(SVG))
}

/// Whether this is SVG's element of that name.
pub(super) fn is_named(node: Node<'_, '_>, name: &str) -> bool {
    is_svg(node) && node.tag_name().name() == name
}

/// Whether this is one of SVG's shapes or a path.
pub(super) fn is_shape(node: Node<'_, '_>) -> bool {
    is_svg(node) && SHAPES.contains(&node.tag_name().name())
}

/// What the element points at. `href` wins over `xlink:href` (SVG 2 section 16.1.6).
pub(super) fn href<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    let of = |namespace: Option<&str>| {
        node.attributes()
            .find(|attribute| attribute.name() == "href" && attribute.namespace() == namespace)
            .map(|attribute| attribute.value())
    };
    of(None).or_else(|| of(Some(XLINK)))
}

pub(super) fn id_of<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    node.attribute("id").filter(|id| !id.trim().is_empty())
}

fn title_of(node: Node<'_, '_>) -> Option<String> {
    let title = node.children().find(|child| is_named(*child, "title"))?;
    let words: Vec<&str> = title.text()?.split_whitespace().collect();
    (!words.is_empty()).then(|| words.join(" "))
}

/// The label that drawing programs write in a namespace of their own, or ARIA's.
fn written_label(node: Node<'_, '_>) -> Option<String> {
    let label = node.attributes().find(|attribute| {
        let own = attribute.name() == "label" && attribute.namespace().is_some();
        own || (attribute.name() == "aria-label" && attribute.namespace().is_none())
    })?;
    let label = label.value().trim();
    (!label.is_empty()).then(|| label.to_owned())
}

/// The bytes of `<name` in the file.
pub(super) fn tag_range(node: Node<'_, '_>) -> Range<usize> {
    let start = node.range().start;
    let text = node.document().input_text();
    let tag = text.get(start..).unwrap_or_default();
    let length = tag
        .find(|c: char| c.is_whitespace() || c == '>' || c == '/')
        .unwrap_or(tag.len());
    start..start + length
}

fn xml_error(text: &str, file: &Path, error: &roxmltree::Error) -> Diagnostic {
    let (what, help) = match error {
        roxmltree::Error::NodesLimitReached => (
            format!("the artwork has more than {MOST_NODES} parts"),
            "simplify the drawing",
        ),
        roxmltree::Error::EntityReferenceLoop(_) => (
            "the artwork's entities refer to each other without end, or far too often".to_owned(),
            "save the drawing as plain SVG",
        ),
        _ => (
            format!("the artwork is not sound XML: {error}"),
            "save the drawing again as plain SVG",
        ),
    };
    let position = error.pos();
    let (row, column) = (position.row.max(1) as usize, position.col.max(1) as usize);
    let line_start: usize = text.split_inclusive('\n').take(row - 1).map(str::len).sum();
    let line = text.get(line_start..).unwrap_or_default();
    let offset: usize = line.chars().take(column - 1).map(char::len_utf8).sum();
    let at = (line_start + offset).min(text.len());
    let length = text[at..].chars().next().map_or(0, char::len_utf8);
    Diagnostic::error("not-xml", what)
        .in_file(file)
        .at(text, at..at + length)
        .help(help)
}
