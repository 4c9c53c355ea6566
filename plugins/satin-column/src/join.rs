//! Columns that touch without sharing a fork, joined so that one thread sews them: lines that meet,
//! pieces that earlier columns left bare, and parts of a region that meet in a place.

use crate::column::Rung;
use crate::strand::Strand;
use geo::{BoundingRect, Rect};
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::measure::{between_edges, distance};
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;

/// Columns this near to each other touch, in mm.
const TOUCHING: f64 = 0.5;
/// No more rungs than this are looked at, over all columns; of longer ones, every second, third...
const MOST_RUNGS: usize = 3000;

/// A way between two strands.
struct Link {
    /// The strands, each with the rung where it is left or entered.
    between: [(usize, usize); 2],
    length: f64,
}

/// Joins what touches: the shortest ways that make one of as many strands as possible (Kruskal's
/// minimum spanning forest, 1956). Each way becomes a fork that both strands run through.
pub fn join_touching(strands: &mut [Strand]) {
    let mut groups = Groups::new(strands.len());
    let mut forks: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
    for (number, strand) in strands.iter().enumerate() {
        for fork in strand.forks() {
            let first = *forks.entry(fork).or_insert(number);
            groups.merge(first, number);
        }
    }
    let mut next_fork = forks.keys().max().map_or(0, |fork| fork + 1);
    for link in links(strands) {
        let [(a, rung_of_a), (b, rung_of_b)] = link.between;
        if groups.merge(a, b) {
            strands[a].through.push((next_fork, rung_of_a));
            strands[b].through.push((next_fork, rung_of_b));
            next_fork += 1;
        }
    }
}

/// The shortest link of every two strands that touch, shortest first.
fn links(strands: &[Strand]) -> Vec<Link> {
    let ladders: Vec<Vec<Rung>> = strands
        .iter()
        .map(|strand| strand.column.rungs().copied().collect())
        .collect();
    let count: usize = ladders.iter().map(Vec::len).sum();
    let stride = count.div_ceil(MOST_RUNGS).max(1);
    let bounds: Vec<Option<Rect<f64>>> = ladders.iter().map(|ladder| bounds_of(ladder)).collect();
    let mut links: Vec<Link> = Vec::new();
    let boxes = Boxes::new(bounds.iter().copied().enumerate());
    for (a, one) in bounds.iter().enumerate() {
        let Some(one) = *one else {
            continue;
        };
        for b in boxes.near(one, 2.0 * TOUCHING) {
            if b > a
                && let Some(other) = bounds[b]
                && near(one, other)
                && let Some(link) = shortest([a, b], &ladders, stride, (one, other))
            {
                links.push(link);
            }
        }
    }
    links.sort_by(|p, q| p.length.total_cmp(&q.length));
    links
}

fn shortest(
    [a, b]: [usize; 2],
    ladders: &[Vec<Rung>],
    stride: usize,
    bounds: (Rect<f64>, Rect<f64>),
) -> Option<Link> {
    let candidates = |ladder: usize, other: Rect<f64>| {
        let rungs = &ladders[ladder];
        let last = rungs.len() - 1;
        let end = (!last.is_multiple_of(stride)).then_some(last);
        let picked = (0..=last).step_by(stride).chain(end);
        picked
            .filter(move |&i| bounds_of(&rungs[i..=i]).is_some_and(|here| near(here, other)))
            .map(move |i| (i, rungs[i]))
    };
    let ones: Vec<(usize, Rung)> = candidates(a, bounds.1).collect();
    let others: Vec<(usize, Rung)> = candidates(b, bounds.0).collect();
    let mut best: Option<Link> = None;
    for &(i, one) in &ones {
        for &(j, other) in &others {
            // Of rungs that touch, those whose middles are nearest are the shortest way.
            let gap = between_edges([one.left, one.right], [other.left, other.right]);
            if gap <= TOUCHING {
                let length = distance(one.middle, other.middle) + gap;
                if best.as_ref().is_none_or(|best| length < best.length) {
                    best = Some(Link {
                        between: [(a, i), (b, j)],
                        length,
                    });
                }
            }
        }
    }
    best
}

fn bounds_of(rungs: &[Rung]) -> Option<Rect<f64>> {
    let ends = rungs.iter().flat_map(|rung| [rung.left, rung.right]);
    ends.collect::<geo::MultiPoint<f64>>().bounding_rect()
}

fn near(a: Rect<f64>, b: Rect<f64>) -> bool {
    a.min().x <= b.max().x + TOUCHING
        && b.min().x <= a.max().x + TOUCHING
        && a.min().y <= b.max().y + TOUCHING
        && b.min().y <= a.max().y + TOUCHING
}
