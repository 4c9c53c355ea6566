//! Shortest paths (E. W. Dijkstra, Numerische Mathematik 1 (1959) 269-271).

use super::Graph;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

const FAR: u64 = u64::MAX;

/// Shortest paths from one node at a time; the memory is used again for the next.
pub(super) struct Search<'a> {
    graph: &'a Graph,
    distance: Vec<u64>,
    /// The edge by which a node is reached.
    by: Vec<usize>,
    touched: Vec<usize>,
}

impl<'a> Search<'a> {
    pub(super) fn new(graph: &'a Graph) -> Self {
        let nodes = graph.leaving.len();
        Self {
            graph,
            distance: vec![FAR; nodes],
            by: vec![usize::MAX; nodes],
            touched: Vec::new(),
        }
    }

    /// Visits nodes in order of their distance from `start`, with that distance, until `visit`
    /// returns false. Of several shortest paths the one by the lower nodes and edges is taken.
    pub(super) fn visit(&mut self, start: usize, mut visit: impl FnMut(usize, u64) -> bool) {
        for node in self.touched.drain(..) {
            self.distance[node] = FAR;
            self.by[node] = usize::MAX;
        }
        let mut open = BinaryHeap::new();
        self.distance[start] = 0;
        self.touched.push(start);
        open.push(Reverse((0, start)));
        while let Some(Reverse((so_far, node))) = open.pop() {
            if so_far > self.distance[node] {
                continue;
            }
            if !visit(node, so_far) {
                return;
            }
            for &passage in &self.graph.leaving[node] {
                let next = self.graph.to(passage);
                let length = so_far + self.graph.edges[passage.edge].length;
                if length < self.distance[next] {
                    if self.distance[next] == FAR {
                        self.touched.push(next);
                    }
                    self.distance[next] = length;
                    self.by[next] = passage.edge;
                    open.push(Reverse((length, next)));
                }
            }
        }
    }

    /// The edges of the shortest path between two nodes; none where there is no path.
    pub(super) fn path(&mut self, start: usize, end: usize) -> Vec<usize> {
        self.visit(start, |node, _| node != end);
        let mut path = Vec::new();
        let mut at = end;
        while at != start && self.by[at] != usize::MAX {
            let edge = self.by[at];
            path.push(edge);
            let [a, b] = self.graph.edges[edge].nodes;
            at = if a == at { b } else { a };
        }
        path
    }

    /// Whether every node that has edges can be reached from every other.
    pub(super) fn reaches_all_edges(&mut self) -> bool {
        let has_edges = |node: &usize| !self.graph.leaving[*node].is_empty();
        let nodes: Vec<usize> = (0..self.graph.leaving.len()).filter(has_edges).collect();
        let Some(&first) = nodes.first() else {
            return true;
        };
        let mut reached = 0;
        self.visit(first, |_, _| {
            reached += 1;
            true
        });
        reached == nodes.len()
    }
}
