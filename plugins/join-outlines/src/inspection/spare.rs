//! Passages that a walk can do without: edges that only hold the graph together and are passed
//! twice, where others hold it together as well.

use super::{Graph, Need};

/// More such edges are not tried: each costs a look at the whole graph.
const TRIED: usize = 300;

/// Takes back both passages of such edges, the longest first. Every node stays as even as it was.
pub(super) fn leave_out(graph: &Graph, passes: &mut [u32]) {
    let mut spare: Vec<usize> = (0..passes.len())
        .filter(|&edge| graph.edges[edge].need != Need::Always && passes[edge] == 2)
        .collect();
    spare.sort_by_key(|&edge| (std::cmp::Reverse(graph.edges[edge].length), edge));
    for edge in spare.into_iter().take(TRIED) {
        passes[edge] = 0;
        if !holds_together(graph, passes) {
            passes[edge] = 2;
        }
    }
}

/// Whether all edges that are passed hang together.
fn holds_together(graph: &Graph, passes: &[u32]) -> bool {
    let passed = |edge: usize| passes[edge] > 0;
    let all = (0..passes.len()).filter(|&edge| passed(edge));
    let Some(first) = all.clone().next() else {
        return true;
    };
    let mut seen = vec![false; graph.leaving.len()];
    let mut waiting = vec![graph.edges[first].nodes[0]];
    while let Some(node) = waiting.pop() {
        if !std::mem::replace(&mut seen[node], true) {
            let out = graph.leaving[node].iter();
            let out = out.filter(|out| passed(out.edge));
            waiting.extend(out.map(|&out| graph.to(out)));
        }
    }
    let mut all = all;
    all.all(|edge| graph.edges[edge].nodes.iter().all(|&node| seen[node]))
}
