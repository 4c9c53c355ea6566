//! Route inspection: the shortest walk along every edge of a connected graph (the Chinese
//! postman's problem; J. Edmonds and E. L. Johnson, "Matching, Euler tours and the Chinese
//! postman", Mathematical Programming 5 (1973) 88-124).
//!
//! Where an odd number of edges meet, some edge must be sewn again. The shortest such edges are
//! shortest paths between odd nodes, paired by a minimum-weight perfect matching. Nothing here
//! knows of geometry: edges have two nodes and a length.

mod bound;
mod matching;
mod polish;
mod shortest;
mod spare;
mod trail;

pub use matching::{greatest_exact, pair_exactly};
pub use trail::Passage;

use matching::Pair;
use shortest::Search;

/// An edge of a graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// The nodes at its beginning and its end; the same node twice for a loop.
    pub nodes: [usize; 2],
    /// Its length in any unit: whole numbers, so that equal lengths are equal on every machine.
    pub length: u64,
    /// Whether the walk must pass it.
    pub need: Need,
}

/// Whether a walk must pass an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It must.
    Always,
    /// It holds parts of the graph together, and is passed unless something else does.
    ToHold,
    /// It need not, but may carry the walk from one edge to another.
    Never,
}

impl Edge {
    /// An edge that the walk must pass.
    pub fn needed(nodes: [usize; 2], length: u64) -> Self {
        Self {
            nodes,
            length,
            need: Need::Always,
        }
    }
}

/// A graph in which several edges may join the same two nodes.
#[derive(Clone, Debug)]
pub struct Graph {
    edges: Vec<Edge>,
    /// For each node, the passages that leave it.
    leaving: Vec<Vec<Passage>>,
}

/// Lengths above this are taken for it, so that sums of them do not overflow.
const LONGEST_EDGE: u64 = 1 << 42;

impl Graph {
    /// The graph of `edges`.
    pub fn new(mut edges: Vec<Edge>) -> Self {
        let nodes = edges.iter().flat_map(|edge| edge.nodes).max();
        let mut leaving = vec![Vec::new(); nodes.map_or(0, |last| last + 1)];
        for (i, edge) in edges.iter_mut().enumerate() {
            edge.length = edge.length.min(LONGEST_EDGE);
            for forward in [true, false] {
                leaving[edge.nodes[usize::from(!forward)]].push(Passage { edge: i, forward });
            }
        }
        Self { edges, leaving }
    }

    /// The edges, as they were given.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The nodes at which an odd number of edges end, in rising order; those that are never needed
    /// do not count.
    pub fn odd_nodes(&self) -> Vec<usize> {
        let odd = |node: &usize| {
            let leaving = self.leaving[*node].iter();
            leaving
                .filter(|out| self.edges[out.edge].need != Need::Never)
                .count()
                % 2
                == 1
        };
        (0..self.leaving.len()).filter(odd).collect()
    }

    /// The length of all edges that are always needed.
    pub fn length(&self) -> u64 {
        let needed = self.edges.iter().filter(|edge| edge.need == Need::Always);
        needed.map(|edge| edge.length).sum()
    }

    fn to(&self, passage: Passage) -> usize {
        self.edges[passage.edge].nodes[usize::from(passage.forward)]
    }
}

/// What kind of walk is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Walk {
    /// Every needed edge at least once, the shortest that may end anywhere.
    Open,
    /// Every needed edge at least once, the shortest that ends where it began.
    Closed,
    /// Every needed edge exactly twice; ends where it began.
    Twice,
}

/// A walk along every needed edge of a graph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inspection {
    /// The edges in the order of the walk, each turned the way it is passed.
    pub trail: Vec<Passage>,
    /// The length of what is passed again, and of what is passed without need.
    pub retraced: u64,
    /// No walk adds less than this; the same as `retraced` where the walk is the shortest.
    pub least_retraced: u64,
    /// How many odd nodes the graph has.
    pub odd_nodes: usize,
}

impl Inspection {
    /// Whether `retraced` is proven to be the least.
    pub fn exact(&self) -> bool {
        self.retraced == self.least_retraced
    }

    /// How many trails it takes at least when no edge may be passed twice: half the odd nodes,
    /// one where there are none (Euler).
    pub fn trails_without_retracing(&self) -> usize {
        (self.odd_nodes / 2).max(1)
    }
}

/// The shortest walk along every needed edge of `graph`, or nothing where the graph has no edge or
/// its needed edges are not connected by themselves.
///
/// With up to [`greatest_exact`] odd nodes the walk is the shortest there is. With more, odd nodes
/// are paired nearest first, and groups of neighbouring pairs are then paired anew exactly, as
/// long as that shortens the walk; [`Inspection::least_retraced`] then says how far off it may be.
///
/// `turn(arriving, leaving)` says how unwelcome it is to go from one edge on to another; among
/// walks of the same length it steers which one is found.
pub fn inspect(
    graph: &Graph,
    walk: Walk,
    turn: impl Fn(Passage, Passage) -> f64,
) -> Option<Inspection> {
    if graph.edges.is_empty() || !Search::new(graph).reaches_all_edges() {
        return None;
    }
    let odd = graph.odd_nodes();
    let once = |edge: &Edge| u32::from(edge.need != Need::Never);
    let mut passes: Vec<u32> = graph.edges.iter().map(once).collect();
    let mut least = None;
    if walk == Walk::Twice {
        passes.iter_mut().for_each(|times| *times *= 2);
    } else if !odd.is_empty() {
        let open = walk == Walk::Open;
        let pairs = if odd.len() <= greatest_exact() {
            matching::pair_nodes(graph, &odd, open)
        } else {
            let (pairs, bound) = polish::pair_many_nodes(graph, &odd, open);
            least = Some(bound);
            pairs
        };
        for edge in retraced_edges(graph, &pairs) {
            passes[edge] += 1;
        }
    }
    spare::leave_out(graph, &mut passes);
    let walked: u64 = passes
        .iter()
        .zip(&graph.edges)
        .map(|(&passes, edge)| u64::from(passes) * edge.length)
        .sum();
    let retraced = walked - graph.length();
    Some(Inspection {
        trail: trail::euler(graph, passes, turn)?,
        retraced,
        least_retraced: least.map_or(retraced, |least| least.min(retraced)),
        odd_nodes: odd.len(),
    })
}

/// The edges on the shortest paths of an odd number of `pairs`. Where two paths use the same
/// edge, leaving it out of both keeps every node even.
fn retraced_edges(graph: &Graph, pairs: &[Pair]) -> Vec<usize> {
    let mut search = Search::new(graph);
    let mut odd = vec![false; graph.edges.len()];
    for pair in pairs {
        for edge in search.path(pair.nodes[0], pair.nodes[1]) {
            odd[edge] = !odd[edge];
        }
    }
    (0..odd.len()).filter(|&edge| odd[edge]).collect()
}

#[cfg(test)]
mod tests;
