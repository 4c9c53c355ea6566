//! Which fills hang together.

use crate::borders::Border;
use crate::fills::Fill;
use hoopwright_sdk::groups::Groups;
use std::collections::BTreeMap;

/// What hangs together by borders and is to be given angles, in sewing order. Fills that have an angle already
/// part what they touch.
pub(crate) struct Graph {
    pub nodes: Vec<Node>,
}

/// Fills that get one angle.
#[derive(Default)]
pub(crate) struct Node {
    /// Their places in the design.
    pub places: Vec<usize>,
    /// In hundredths of a mm².
    pub size: u64,
    /// What they touch: which node, and along how much. It may be there more than once.
    pub touches: Vec<(usize, u64)>,
    /// What they touch that has an angle already: which, in degrees, and along how much.
    pub fixed: Vec<(f64, u64)>,
}

impl Graph {
    /// All graphs of the design; lengths are in hundredths of a mm from here on.
    pub fn all(fills: &[Option<Fill>], borders: &[Border]) -> Vec<Self> {
        let free = |place: usize| fills[place].as_ref().filter(|fill| fill.own.is_none());
        let mut groups = Groups::new(fills.len());
        for border in borders {
            if let [Some(a), Some(b)] = border.fills.map(free) {
                groups.merge(a.kin, b.kin);
            }
        }
        let mut kins: Vec<usize> = borders
            .iter()
            .flat_map(|border| border.fills)
            .filter_map(|place| Some(free(place)?.kin))
            .collect();
        kins.sort_unstable();
        kins.dedup();
        // Which graph each kin is in, and as which of its nodes.
        let mut at: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
        let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
        let mut graphs: Vec<Self> = Vec::new();
        for kin in kins {
            let number = *numbers.entry(groups.of(kin)).or_insert(graphs.len());
            if number == graphs.len() {
                graphs.push(Self { nodes: Vec::new() });
            }
            let nodes = &mut graphs[number].nodes;
            at.insert(kin, (number, nodes.len()));
            nodes.push(Node::default());
        }
        for place in 0..fills.len() {
            let fill = free(place);
            if let Some((fill, &(graph, node))) = fill.and_then(|it| Some((it, at.get(&it.kin)?))) {
                let node = &mut graphs[graph].nodes[node];
                node.places.push(place);
                node.size += fill.size();
            }
        }
        for border in borders {
            let length = (border.length * 100.0).round() as u64;
            let [Some(below), Some(above)] = border.fills.map(|place| fills[place].as_ref()) else {
                continue;
            };
            for (one, other) in [(below, above), (above, below)] {
                let Some(&(graph, node)) = at.get(&one.kin).filter(|_| one.own.is_none()) else {
                    continue;
                };
                let node = &mut graphs[graph].nodes[node];
                match other.own {
                    Some(own) => node.fixed.push((own, length)),
                    None => node
                        .touches
                        .extend(at.get(&other.kin).map(|&(_, it)| (it, length))),
                }
            }
        }
        graphs
    }
}
