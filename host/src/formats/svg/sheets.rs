//! What style sheets and the element's own style say of an element, as usvg reads them: for what usvg does not
//! act on, or does not tell of.

use super::css;
use super::source::Source;
use roxmltree::Node;
use simplecss::{AttributeOperator, Declaration, DeclarationTokenizer, PseudoClass, Selector};
use std::collections::BTreeMap;
use std::rc::Rc;

/// The properties that are looked at. Rules about others are not held against elements.
const LOOKED_AT: [&str; 18] = [
    "clip-path",
    "cx",
    "cy",
    "d",
    "display",
    "height",
    "r",
    "rotate",
    "rx",
    "ry",
    "scale",
    "transform",
    "transform-box",
    "transform-origin",
    "translate",
    "width",
    "x",
    "y",
];

/// The text of all style sheets, without comments.
pub(super) fn texts(source: &Source<'_>) -> Vec<String> {
    let texts = source.sheets().filter_map(|sheet| sheet.text());
    texts.map(css::without_comments).collect()
}

/// The rules about those properties, the weakest first.
pub(super) struct Sheets<'t> {
    rules: Vec<(Selector<'t>, Rc<[Declaration<'t>]>)>,
}

/// What CSS declares of an element, by name.
pub(super) type Declared<'t> = BTreeMap<&'t str, &'t str>;

impl<'t> Sheets<'t> {
    /// Reads these sheets.
    pub fn new(texts: &'t [String]) -> Self {
        let mut rules = Vec::new();
        for (selectors, body) in texts.iter().flat_map(|text| css::rules(text)) {
            let declarations: Rc<[Declaration<'t>]> = of_interest(body).collect();
            if declarations.is_empty() {
                continue;
            }
            // usvg leaves out one that it cannot read, and all that follow it.
            let read = css::selectors(selectors).map_while(selector);
            rules.extend(read.map(|selector| (selector, Rc::clone(&declarations))));
        }
        // CSS Cascading 4 section 6.4: by specificity, then by order.
        rules.sort_by_key(|(selector, _)| selector.specificity());
        Self { rules }
    }

    /// What the sheets and its style declare of the element, attributes aside.
    pub fn declared<'d>(&self, node: Node<'d, '_>) -> Declared<'d>
    where
        't: 'd,
    {
        let fitting = self
            .rules
            .iter()
            .filter(|(selector, _)| selector.matches(&Element(node)));
        let by_rule = fitting.flat_map(|(_, declarations)| declarations.iter().copied());
        let own = of_interest(node.attribute("style").unwrap_or_default());
        let mut declared = Declared::new();
        let mut important = Declared::new();
        for declaration in by_rule.chain(own) {
            let among = if declaration.important {
                &mut important
            } else {
                &mut declared
            };
            among.insert(declaration.name, declaration.value);
        }
        declared.extend(important);
        declared
    }
}

/// The selector as usvg reads it: nothing where it cannot.
pub(super) fn selector(text: &str) -> Option<Selector<'_>> {
    // One that begins with a combinator is taken apart by a debug assertion.
    let begins = !text.starts_with(['>', '+']);
    begins.then(|| Selector::parse(text)).flatten()
}

fn of_interest(declarations: &str) -> impl Iterator<Item = Declaration<'_>> {
    DeclarationTokenizer::from(declarations)
        .filter(|declaration| LOOKED_AT.contains(&declaration.name))
}

/// An element, as usvg shows it to selectors.
struct Element<'a, 'i>(Node<'a, 'i>);

impl simplecss::Element for Element<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(Element)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(Element)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator<'_>) -> bool {
        self.0
            .attribute(name)
            .is_some_and(|value| operator.matches(value))
    }

    fn pseudo_class_matches(&self, class: PseudoClass<'_>) -> bool {
        matches!(class, PseudoClass::FirstChild) && self.0.prev_sibling_element().is_none()
    }
}
