//! Which column is reached from which: a tree over the forks that columns share.

use crate::strand::Strand;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use std::collections::{BTreeMap, VecDeque};

/// A column among those it hangs together with. It is sewn before the column it hangs on, which
/// therefore covers the way to it.
#[derive(Clone, Debug)]
pub struct Limb {
    /// Its strand, as its place in the list of strands.
    pub strand: usize,
    /// The rung of its own where it hangs on its parent; of a root, 0.
    pub root_rung: usize,
    /// The limb it hangs on, and the rung of that one; nothing for a root.
    pub parent: Option<(usize, usize)>,
    /// The limbs that hang on it, each with the rung where.
    pub children: Vec<(usize, usize)>,
}

/// Where a strand meets a fork.
fn meetings(strand: &Strand) -> Vec<(usize, usize)> {
    let top = strand.column.rungs().count().saturating_sub(1);
    let [start, end] = strand.ends;
    let ends = start
        .map(|fork| (fork, 0))
        .into_iter()
        .chain(end.map(|fork| (fork, top)));
    // Runs through come first: they cover the fork.
    strand.through.iter().copied().chain(ends).collect()
}

/// One tree for each set of strands that hang together. The longest strand of each is its root,
/// but `goal` is that of its own, which comes first.
pub fn trees_of(strands: &[Strand], goal: Option<usize>) -> Vec<Vec<Limb>> {
    let mut at_fork: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
    for (number, strand) in strands.iter().enumerate() {
        for (fork, rung) in meetings(strand) {
            at_fork.entry(fork).or_default().push((number, rung));
        }
    }
    let mut by_size: Vec<usize> = (0..strands.len()).collect();
    let sizes: Vec<f64> = strands
        .iter()
        .map(|strand| strand.column.length())
        .collect();
    by_size.sort_by(|&a, &b| sizes[b].total_cmp(&sizes[a]).then(a.cmp(&b)));
    let mut placed = vec![false; strands.len()];
    let mut trees = Vec::new();
    for root in goal.into_iter().chain(by_size) {
        if placed[root] {
            continue;
        }
        placed[root] = true;
        let mut limbs = vec![Limb {
            strand: root,
            root_rung: 0,
            parent: None,
            children: Vec::new(),
        }];
        let mut open = VecDeque::from([0]);
        while let Some(here) = open.pop_front() {
            for (fork, rung) in meetings(&strands[limbs[here].strand]) {
                for &(strand, root_rung) in at_fork.get(&fork).into_iter().flatten() {
                    if !placed[strand] {
                        placed[strand] = true;
                        let limb = limbs.len();
                        limbs[here].children.push((limb, rung));
                        let parent = Some((here, rung));
                        limbs.push(Limb {
                            strand,
                            root_rung,
                            parent,
                            children: Vec::new(),
                        });
                        open.push_back(limb);
                    }
                }
            }
        }
        trees.push(limbs);
    }
    trees
}

/// The free ends of a strand, each with whether it is the last rung. The end at a fork lies inside
/// another column, where nothing should begin or end.
pub fn free_ends(strand: &Strand) -> impl Iterator<Item = (bool, Coord<f64>)> {
    let mut rungs = strand.column.rungs();
    let ends = [(false, rungs.next()), (true, rungs.next_back())];
    ends.into_iter()
        .filter(|(is_last, _)| strand.ends[usize::from(*is_last)].is_none())
        .filter_map(|(is_last, rung)| Some((is_last, rung?.middle)))
}

/// The end of a tree's columns nearest to `place`: the limb, whether it is its last rung, and how
/// far away it is.
pub fn nearest_end(tree: &[Limb], strands: &[Strand], place: Coord<f64>) -> (usize, bool, f64) {
    let mut best = (0, false, f64::INFINITY);
    for (number, limb) in tree.iter().enumerate() {
        for (is_last, end) in free_ends(&strands[limb.strand]) {
            let away = distance(end, place);
            if away < best.2 {
                best = (number, is_last, away);
            }
        }
    }
    best
}

/// The strand with the free end nearest to `place`; of one that runs all the way round, any place
/// is one.
pub fn nearest_strand(strands: &[Strand], place: Coord<f64>) -> Option<usize> {
    let away = |strand: &Strand| -> Option<f64> {
        let nearest = |places: &mut dyn Iterator<Item = Coord<f64>>| {
            places.map(|at| distance(at, place)).min_by(f64::total_cmp)
        };
        if strand.column.closed {
            nearest(&mut strand.column.rungs().map(|rung| rung.middle))
        } else {
            nearest(&mut free_ends(strand).map(|end| end.1))
        }
    };
    let all = strands.iter().enumerate();
    all.filter_map(|(number, strand)| Some((number, away(strand)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(number, _)| number)
}
