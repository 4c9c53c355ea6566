//! Ids for the objects: the artwork's own where it has them.

use super::origin::Origin;
use super::source::{Source, id_of};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Default)]
pub(super) struct Names {
    used: BTreeSet<String>,
    counts: BTreeMap<String, usize>,
}

impl Names {
    /// A new id for what `origin` paints, or the beginning of two of them (`…-fill` and
    /// `…-stroke`).
    ///
    /// It is the element's id, or its kind and number, such as `path-12`. Beneath a `use` it is
    /// the `use`'s, followed by the element's unless that is the very one shown. An id made up
    /// never takes one that another element has.
    pub fn for_origin(&mut self, source: &Source<'_>, origin: &Origin, for_two: bool) -> String {
        let uses = origin.uses.iter().filter_map(|&id| source.xml.get_node(id));
        let element = source.xml.get_node(origin.element);
        let shown = uses
            .clone()
            .next_back()
            .and_then(|node| source.linked(node));
        let is_shown_itself = shown.is_some_and(|node| node.id() == origin.element);
        let parts: Vec<_> = uses.chain(element.filter(|_| !is_shown_itself)).collect();
        let is_own = matches!(parts[..], [only] if id_of(only).is_some());
        let labels: Vec<String> = parts.iter().map(|node| source.label(*node)).collect();
        let base = labels.join("-");
        let mut taken = |candidate: &String| {
            let ids = if for_two {
                vec![format!("{candidate}-fill"), format!("{candidate}-stroke")]
            } else {
                vec![candidate.clone()]
            };
            let mine = |id: &String| is_own && *id == base;
            let free = ids
                .iter()
                .all(|id| !self.used.contains(id) && (mine(id) || source.by_id(id).is_none()));
            if free {
                self.used.extend(ids);
            }
            !free
        };
        let count = self.counts.entry(base.clone()).or_insert(1);
        let mut candidate = base.clone();
        while taken(&candidate) {
            *count += 1;
            candidate = format!("{base}-{count}");
        }
        candidate
    }

    /// This id, which no element has a claim to.
    pub fn unique(&mut self, id: String) -> String {
        let mut candidate = id.clone();
        let mut count = 1;
        while !self.used.insert(candidate.clone()) {
            count += 1;
            candidate = format!("{id}-{count}");
        }
        candidate
    }
}
