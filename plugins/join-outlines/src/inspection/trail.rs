//! One trail along every edge, as often as each is to be passed (C. Hierholzer, Mathematische
//! Annalen 6 (1873) 30-32).

use super::Graph;

/// An edge passed in one of its two directions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Passage {
    /// The edge.
    pub edge: usize,
    /// Whether it is passed from its first node to its second.
    pub forward: bool,
}

/// A trail that passes each edge as often as `passes` says, or nothing where there is none: where
/// more than two nodes are odd, or the edges hang apart.
///
/// At each node it goes on by the unused edge for which `turn` is least.
pub(super) fn euler(
    graph: &Graph,
    mut passes: Vec<u32>,
    turn: impl Fn(Passage, Passage) -> f64,
) -> Option<Vec<Passage>> {
    let wanted: usize = passes.iter().map(|&times| times as usize).sum();
    let start = start(graph, &passes)?;
    let mut leaving = graph.leaving.clone();
    let mut path: Vec<Passage> = Vec::new();
    let mut trail = Vec::with_capacity(wanted);
    loop {
        let here = path.last().map_or(start, |&passage| graph.to(passage));
        leaving[here].retain(|passage| passes[passage.edge] > 0);
        let next = match path.last() {
            Some(&arriving) => leaving[here]
                .iter()
                .copied()
                .map(|passage| (turn(arriving, passage), passage))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .map(|(_, passage)| passage),
            None => leaving[here].first().copied(),
        };
        if let Some(passage) = next {
            passes[passage.edge] -= 1;
            path.push(passage);
        } else {
            let Some(passage) = path.pop() else {
                break;
            };
            trail.push(passage);
        }
    }
    trail.reverse();
    (trail.len() == wanted).then_some(trail)
}

/// The first odd node, or else the first that has edges.
fn start(graph: &Graph, passes: &[u32]) -> Option<usize> {
    let degree = |node: usize| -> u32 {
        let leaving = graph.leaving[node].iter();
        leaving.map(|passage| passes[passage.edge]).sum()
    };
    let nodes = 0..graph.leaving.len();
    let mut odd = nodes.clone().filter(|&node| degree(node) % 2 == 1);
    let first = odd.next();
    if odd.count() > 1 {
        return None;
    }
    first.or_else(|| nodes.clone().find(|&node| degree(node) > 0))
}
