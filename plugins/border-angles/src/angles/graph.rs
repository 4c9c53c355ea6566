//! Which fills hang together.

use crate::borders::Border;
use crate::fills::Fill;
use hoopwright_sdk::groups::Groups;
use std::collections::BTreeMap;

/// Fills that hang together by borders and are to be given angles, in sewing order. Those that have an angle
/// already part what they touch.
pub(crate) struct Graph {
    pub nodes: Vec<Node>,
}

/// One fill.
pub(crate) struct Node {
    /// Its place in the design.
    pub place: usize,
    /// In hundredths of a mm².
    pub size: u64,
    /// What it touches: which node, and along how much.
    pub touches: Vec<(usize, u64)>,
    /// What it touches that has an angle already: which, in degrees, and along how much.
    pub fixed: Vec<(f64, u64)>,
}

impl Graph {
    /// All graphs of the design; lengths are in hundredths of a mm from here on.
    pub fn all(fills: &[Option<Fill>], borders: &[Border]) -> Vec<Self> {
        let is_free = |place: usize| matches!(&fills[place], Some(Fill { own: None, .. }));
        let mut groups = Groups::new(fills.len());
        for border in borders {
            let [a, b] = border.fills;
            if is_free(a) && is_free(b) {
                groups.merge(a, b);
            }
        }
        // Which graph each fill is in, and as which of its nodes.
        let mut at: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
        let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
        let mut graphs: Vec<Self> = Vec::new();
        let mut touched: Vec<usize> = borders.iter().flat_map(|border| border.fills).collect();
        touched.sort_unstable();
        touched.dedup();
        for place in touched {
            let Some(fill) = fills[place].as_ref().filter(|fill| fill.own.is_none()) else {
                continue;
            };
            let number = *numbers.entry(groups.of(place)).or_insert(graphs.len());
            if number == graphs.len() {
                graphs.push(Self { nodes: Vec::new() });
            }
            let nodes = &mut graphs[number].nodes;
            at.insert(place, (number, nodes.len()));
            nodes.push(Node {
                place,
                size: fill.size(),
                touches: Vec::new(),
                fixed: Vec::new(),
            });
        }
        for border in borders {
            let length = (border.length * 100.0).round() as u64;
            let [a, b] = border.fills;
            for (one, other) in [(a, b), (b, a)] {
                let Some(&(number, node)) = at.get(&one) else {
                    continue;
                };
                let node = &mut graphs[number].nodes[node];
                match (
                    at.get(&other),
                    fills[other].as_ref().and_then(|fill| fill.own),
                ) {
                    (Some(&(_, other)), _) => node.touches.push((other, length)),
                    (None, Some(own)) => node.fixed.push((own, length)),
                    (None, None) => {}
                }
            }
        }
        graphs
    }
}
