//! Which elements refer to which, so that no artwork refers to itself without end.
//!
//! usvg copies what a reference means wherever it is needed, and only notices the shortest
//! circles. A pattern painted twice with a pattern painted twice with a pattern … would keep it
//! busy for ever, and a circle of three would break its stack; such files are refused here.

use super::css;
use super::source::{Source, href, is_svg, spoken};
use crate::diagnostics::Diagnostic;
use roxmltree::{Node, NodeId};
use std::collections::BTreeMap;

/// No more elements than this are painted, all references filled in. usvg has the same limit for
/// `use` alone.
const MOST_PAINTED: u64 = 1_000_000;
/// References may be nested this deep.
const DEEPEST: usize = 64;
/// How many elements may be looked at for all that: some lie within many that are referred to.
const MOST_STEPS: u64 = 20_000_000;

/// Refuses artwork whose references go in a circle or come to more than can be painted.
pub(super) fn check(source: &Source<'_>) -> Result<(), Diagnostic> {
    let mut search = Search {
        source,
        rules: rules(source),
        path: Vec::new(),
        costs: BTreeMap::new(),
        steps: 0,
    };
    search.cost(source.xml.root_element()).map(|_| ())
}

/// A rule of a style sheet that refers to something.
struct Rule {
    /// Tag, ids and classes that the last part of its selector asks for. Attributes, states and
    /// what must stand around the element are not looked at: the rule may fit more than it does.
    selector: Vec<Simple>,
    targets: Vec<String>,
}

enum Simple {
    Tag(String),
    Id(String),
    Class(String),
}

/// By what an element refers to another.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Use,
    /// Another element's `href`.
    Link,
    /// `url(#id)` in an attribute or a style.
    Property,
}

/// Whether a property can refer to the element with an effect, and the element holds others.
/// Gradients hold nothing that could refer back; markers are left out.
fn is_server(node: Node<'_, '_>) -> bool {
    ["pattern", "clipPath", "mask", "filter"].contains(&node.tag_name().name())
}

struct Search<'s, 'a> {
    source: &'s Source<'a>,
    rules: Vec<Rule>,
    /// The elements whose cost is being worked out, and how each was come by.
    path: Vec<(NodeId, Kind)>,
    costs: BTreeMap<usize, u64>,
    steps: u64,
}

impl<'s, 'a> Search<'s, 'a> {
    /// How many elements the subtree comes to, all references filled in.
    fn cost(&mut self, top: Node<'s, 'a>) -> Result<u64, Diagnostic> {
        if let Some(&known) = self.costs.get(&top.id().get_usize()) {
            return Ok(known);
        }
        let mut cost: u64 = 0;
        for node in top.descendants().filter(|node| is_svg(*node)) {
            self.steps += 1;
            cost += 1;
            for (target, kind) in self.targets(node) {
                cost = cost.saturating_add(self.target_cost(node, target, kind)?);
            }
            if cost > MOST_PAINTED || self.steps > MOST_STEPS {
                return Err(self.too_much(node));
            }
        }
        self.costs.insert(top.id().get_usize(), cost);
        Ok(cost)
    }

    fn target_cost(
        &mut self,
        node: Node<'s, 'a>,
        target: Node<'s, 'a>,
        kind: Kind,
    ) -> Result<u64, Diagnostic> {
        if let Some(start) = self.path.iter().position(|(id, _)| *id == target.id()) {
            let is_of_uses = self.path[start + 1..].iter().all(|(_, k)| *k == Kind::Use);
            if kind == Kind::Use && is_of_uses {
                // usvg leaves these out, or stops at its depth limit.
                return Ok(0);
            }
            let message = format!("{} refers to what it is itself part of", spoken(node));
            let error = Diagnostic::error("endless-reference", message);
            return Err(self
                .source
                .place(error, node)
                .help("take the reference out"));
        }
        if self.path.len() >= DEEPEST {
            return Err(self.too_much(node));
        }
        self.path.push((target.id(), kind));
        let cost = self.cost(target);
        self.path.pop();
        cost
    }

    fn too_much(&self, node: Node<'_, '_>) -> Diagnostic {
        let message = format!(
            "with {}, the artwork comes to over {MOST_PAINTED} elements once every reference is \
             filled in, or its references are nested over {DEEPEST} deep",
            spoken(node)
        );
        self.source
            .place(Diagnostic::error("artwork-too-deep", message), node)
            .help("simplify the drawing: dissolve symbols, patterns and clip paths")
    }

    /// What an element refers to.
    fn targets(&self, node: Node<'s, 'a>) -> Vec<(Node<'s, 'a>, Kind)> {
        let mut targets = Vec::new();
        let mut add = |id: &str, kind: Kind| {
            // Of elements that share an id, usvg takes now the first, now the last.
            let both = [self.source.by_id(id), self.source.last_by_id(id)];
            for target in both.into_iter().flatten() {
                if kind != Kind::Property || is_server(target) {
                    targets.push((target, kind));
                }
            }
        };
        for attribute in node.attributes() {
            if !matches!(attribute.name(), "d" | "points") {
                css::urls(attribute.value()).for_each(|id| add(id, Kind::Property));
            }
        }
        let kind = match node.tag_name().name() {
            "use" => Some(Kind::Use),
            "pattern" | "filter" | "feImage" => Some(Kind::Link),
            _ => None,
        };
        if let Some(kind) = kind
            && let Some(id) = href(node).and_then(|href| href.trim().strip_prefix('#'))
        {
            add(id, kind);
        }
        for rule in self.rules.iter().filter(|rule| rule.may_fit(node)) {
            rule.targets.iter().for_each(|id| add(id, Kind::Property));
        }
        targets
    }
}

impl Rule {
    fn may_fit(&self, node: Node<'_, '_>) -> bool {
        self.selector.iter().all(|simple| match simple {
            Simple::Tag(tag) => node.tag_name().name() == tag,
            Simple::Id(id) => node.attribute("id") == Some(id),
            Simple::Class(class) => node
                .attribute("class")
                .is_some_and(|classes| classes.split_whitespace().any(|own| own == class)),
        })
    }
}

/// The rules of all style sheets that refer to something, one for each of their selectors.
fn rules(source: &Source<'_>) -> Vec<Rule> {
    let mut rules = Vec::new();
    let sheets = source.xml.descendants();
    for sheet in sheets.filter(|node| node.tag_name().name() == "style") {
        let text = css::without_comments(sheet.text().unwrap_or_default());
        for rule in text.split('}') {
            let Some((selectors, body)) = rule.split_once('{') else {
                continue;
            };
            let targets: Vec<String> = css::urls(body).map(str::to_owned).collect();
            if targets.is_empty() {
                continue;
            }
            for selector in selectors.split(',') {
                rules.push(Rule {
                    selector: last_compound(selector),
                    targets: targets.clone(),
                });
            }
        }
    }
    rules
}

/// What the last part of a selector such as `g > path.wing:hover` asks of an element.
fn last_compound(selector: &str) -> Vec<Simple> {
    let combinators = |c: char| c.is_whitespace() || matches!(c, '>' | '+' | '~');
    let last = selector.trim().rsplit(combinators).next().unwrap_or("");
    let end = last.find([':', '[']).unwrap_or(last.len());
    let mut simples = Vec::new();
    let mut rest = &last[..end];
    while let Some(first) = rest.chars().next() {
        let after = &rest[first.len_utf8()..];
        let end = after.find(['.', '#']).unwrap_or(after.len());
        let name = after[..end].to_owned();
        simples.extend(match first {
            '.' => Some(Simple::Class(name)),
            '#' => Some(Simple::Id(name)),
            '*' => None,
            _ => Some(Simple::Tag(format!("{first}{name}"))),
        });
        rest = &after[end..];
    }
    simples
}
