//! In which order, and which way, the lines are sewn.
//!
//! Lines are first strung into chains, each of which turns from a line's end to the beginning of the
//! next right beside it, like rows sewn back and forth. Then the chains are ordered such that what is
//! still to be sewn always hangs together: travel from chain to chain can lie under later cover.

use crate::flow::beside::beside;
use crate::flow::chains::{Chain, Chains, Run};
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use std::collections::VecDeque;

/// The runs of all chains, in the order of sewing, from near `start` to near `finish`.
pub fn order(
    lines: &Streamlines,
    chains: &Chains,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
) -> Vec<Run> {
    let count = chains.all.len();
    if count == 0 {
        return Vec::new();
    }
    // The first chain begins at the finish, if there is one.
    let root = if finish.is_some() { 0 } else { count - 1 };
    let mut tree = Tree::grow(root, &beside(lines, chains), count);
    tree.measure_exits(lines, chains);
    let mut here = start;
    let mut runs: Vec<Run> = Vec::new();
    while let Some((chain, reversed)) = tree.next(lines, chains, here, finish.is_some()) {
        let chain = &chains.all[chain];
        if reversed {
            runs.extend(chain.iter().rev().map(Run::reversed));
        } else {
            runs.extend(chain);
        }
        here = runs.last().map(|run| run.end(lines));
    }
    runs
}

/// A tree of chains, leaves first.
struct Tree {
    root: usize,
    parent: Vec<usize>,
    /// How many chains hang on each that are still to be sewn.
    children: Vec<usize>,
    sewn: Vec<bool>,
    /// How far each chain's beginning and end lie from what is sewn later.
    exits: Vec<[f64; 2]>,
}

/// To end away from what is sewn later counts so many times as much as to begin away from where the
/// thread is: the way in can be hidden, the way out cannot.
const EXIT: f64 = 4.0;

/// Chains' distances are measured at one place in so many.
const SPARSE: usize = 5;

impl Tree {
    /// Breadth first from `root`; what nothing leads to hangs on the root as well.
    fn grow(root: usize, neighbours: &[Vec<usize>], count: usize) -> Self {
        let mut parent = vec![usize::MAX; count];
        parent[root] = root;
        let mut open = VecDeque::from([root]);
        while let Some(chain) = open.pop_front() {
            for &next in &neighbours[chain] {
                if parent[next] == usize::MAX {
                    parent[next] = chain;
                    open.push_back(next);
                }
            }
        }
        let mut children = vec![0; count];
        for chain in 0..count {
            if parent[chain] == usize::MAX {
                parent[chain] = root;
            }
            if chain != root {
                children[parent[chain]] += 1;
            }
        }
        Self {
            root,
            parent,
            children,
            sewn: vec![false; count],
            exits: vec![[0.0; 2]; count],
        }
    }

    /// Measures how far the ends of each chain lie from the one it hangs on.
    fn measure_exits(&mut self, lines: &Streamlines, chains: &Chains) {
        for (i, chain) in chains.all.iter().enumerate() {
            let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
                continue;
            };
            if i == self.root {
                continue;
            }
            let ends = [first.begin(lines), last.end(lines)];
            let mut nearest = [f64::INFINITY; 2];
            for run in &chains.all[self.parent[i]] {
                for at in run.points(lines).into_iter().step_by(SPARSE) {
                    for (nearest, end) in nearest.iter_mut().zip(ends) {
                        *nearest = nearest.min(distance(at, end));
                    }
                }
            }
            self.exits[i] = nearest;
        }
    }

    /// The leaf that is best sewn next: it begins near `here`, and ends near what is left. With it
    /// comes whether it is sewn backward. It is off the
    /// tree from now on.
    fn next(
        &mut self,
        lines: &Streamlines,
        chains: &Chains,
        here: Option<Coord<f64>>,
        to_finish: bool,
    ) -> Option<(usize, bool)> {
        let away = |chain: &Chain, reversed: bool| {
            let run = if reversed {
                chain.last().map(Run::reversed)
            } else {
                chain.first().copied()
            };
            let begin = run.map(|run| run.begin(lines));
            here.zip(begin).map_or(0.0, |(a, b)| distance(a, b))
        };
        let mut best: Option<(usize, bool, f64)> = None;
        for (i, chain) in chains.all.iter().enumerate() {
            if self.sewn[i] || self.children[i] > 0 {
                continue;
            }
            for reversed in [false, true] {
                // The one that begins at the finish is sewn to there.
                if i == self.root && to_finish && !reversed {
                    continue;
                }
                let exit = self.exits[i][usize::from(!reversed)];
                let away = away(chain, reversed) + EXIT * exit;
                if best.is_none_or(|best| away < best.2) {
                    best = Some((i, reversed, away));
                }
            }
        }
        let (chain, reversed, _) = best?;
        self.sewn[chain] = true;
        if chain != self.root {
            self.children[self.parent[chain]] -= 1;
        }
        Some((chain, reversed))
    }
}
