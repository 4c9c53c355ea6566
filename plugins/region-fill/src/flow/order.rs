//! In which order, and which way, the lines are sewn.
//!
//! Lines are first strung into chains, each of which turns from a line's end to the beginning of the
//! next right beside it, like rows sewn back and forth. Then the chains are ordered such that what is
//! still to be sewn always hangs together: travel from chain to chain can lie under later cover.

use crate::flow::beside::beside;
use crate::flow::chains::{Chains, Run};
use crate::flow::manner::Manner;
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use std::collections::VecDeque;

/// The runs of all chains, in the order of sewing, from near `start` to near `finish`.
pub fn order(
    lines: &Streamlines,
    chains: &Chains,
    edges: &EdgeGrid,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
) -> Vec<Run> {
    let count = chains.all.len();
    if count == 0 {
        return Vec::new();
    }
    // The first chain begins at the finish, if there is one.
    let root = if finish.is_some() { 0 } else { count - 1 };
    let mut tree = Tree::grow(root, lines, chains, edges);
    let manners = tree.manners(lines, chains, edges, finish.is_some());
    let (mut before, mut here) = (None, start);
    let mut runs: Vec<Run> = Vec::new();
    while before != Some(root) {
        let Some((chain, manner)) = tree.next(&manners, before, here) else {
            break;
        };
        runs.extend(manner.runs(&chains.all[chain]));
        before = Some(chain);
        here = runs.last().map(|run| run.end(lines));
    }
    runs
}

/// A tree of chains, leaves first.
struct Tree {
    root: usize,
    parent: Vec<usize>,
    /// The chains that hang on each and are still to be sewn.
    children: Vec<Vec<usize>>,
}

impl Tree {
    /// Breadth first from `root`; what lies beside none hangs on the nearest.
    fn grow(root: usize, lines: &Streamlines, chains: &Chains, edges: &EdgeGrid) -> Self {
        let (neighbours, count) = (beside(lines, chains, edges), chains.all.len());
        let mut parent = vec![usize::MAX; count];
        parent[root] = root;
        let mut open = VecDeque::from([root]);
        let mut apart = 0..count;
        loop {
            while let Some(chain) = open.pop_front() {
                for &next in &neighbours[chain] {
                    if parent[next] == usize::MAX {
                        parent[next] = chain;
                        open.push_back(next);
                    }
                }
            }
            let Some(chain) = apart.next() else {
                break;
            };
            if parent[chain] == usize::MAX {
                parent[chain] = nearest(chain, lines, chains, &parent).unwrap_or(root);
                open.push_back(chain);
            }
        }
        let mut children = vec![Vec::new(); count];
        for chain in (0..count).filter(|&chain| chain != root) {
            children[parent[chain]].push(chain);
        }
        Self {
            root,
            parent,
            children,
        }
    }

    /// The manners to sew each chain. The root is sewn last, and to its beginning where that is the
    /// finish.
    fn manners(
        &self,
        lines: &Streamlines,
        chains: &Chains,
        edges: &EdgeGrid,
        to_finish: bool,
    ) -> Vec<Vec<Manner>> {
        let of = |chain| {
            if chain != self.root {
                return Manner::before(chain, self.parent[chain], chains, lines, edges);
            }
            let mut manners = Manner::last(&chains.all[chain], lines);
            manners.retain(|manner| !to_finish || manner.is_backward());
            manners
        };
        (0..chains.all.len()).map(of).collect()
    }

    /// The leaf that is best sewn next, and how: it begins near `here`, and ends near what is left.
    ///
    /// Of all that hangs on the parent of the one `before` nothing is left when the parent's turn
    /// comes: from a narrow arm there is no way back but under what is sewn there.
    fn next(
        &mut self,
        manners: &[Vec<Manner>],
        before: Option<usize>,
        here: Option<Coord<f64>>,
    ) -> Option<(usize, Manner)> {
        let mut best: Option<(usize, Manner, f64)> = None;
        let mut open = vec![before.map_or(self.root, |before| self.parent[before])];
        while let Some(chain) = open.pop() {
            if !self.children[chain].is_empty() {
                open.extend(&self.children[chain]);
                continue;
            }
            for manner in &manners[chain] {
                let away = here.map_or(0.0, |here| distance(here, manner.begin));
                let cost = away + manner.cost;
                if best.is_none_or(|best| cost < best.2) {
                    best = Some((chain, *manner, cost));
                }
            }
        }
        let (chain, manner, _) = best?;
        let parent = self.parent[chain];
        self.children[parent].retain(|&child| child != chain);
        Some((chain, manner))
    }
}

/// The nearest to a chain of those that have a parent.
fn nearest(chain: usize, lines: &Streamlines, chains: &Chains, parent: &[usize]) -> Option<usize> {
    let places: Vec<Coord<f64>> = chains.all[chain]
        .iter()
        .flat_map(|run| [run.begin(lines), run.end(lines)])
        .collect();
    let mut nearest: Option<(f64, usize)> = None;
    for (other, its) in chains.all.iter().enumerate() {
        if parent[other] == usize::MAX {
            continue;
        }
        for at in its
            .iter()
            .flat_map(|run| [run.begin(lines), run.end(lines)])
        {
            for &place in &places {
                let away = distance(at, place);
                if nearest.is_none_or(|nearest| away < nearest.0) {
                    nearest = Some((away, other));
                }
            }
        }
    }
    nearest.map(|nearest| nearest.1)
}
