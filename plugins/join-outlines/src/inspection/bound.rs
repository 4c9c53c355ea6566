//! A length that no pairing of odd nodes is under: a solution of the dual of the matching problem
//! without its odd sets (J. Edmonds, Journal of Research of the NBS 69B (1965) 125-130).
//!
//! Each odd node gets a radius, so that no two radii together are longer than the way between
//! their nodes. A pair costs at least its two radii, so that all pairs cost at least all radii.

use super::Graph;
use super::matching::Pair;
use super::shortest::Search;

/// How many neighbours of an odd node are looked at.
const NEAREST: usize = 24;

/// How often every radius is stretched.
const SWEEPS: usize = 8;

/// The sum of radii stretched towards `pairs`, less the two largest where a pair may be left out.
pub(super) fn least(graph: &Graph, odd: &[usize], pairs: &[Pair], open: bool) -> u64 {
    let mut near = neighbours(graph, odd);
    // Beyond the neighbours that were looked at, every other node is at least as far as the last
    // of them: radii up to half of that meet nobody there.
    let most: Vec<u64> = near
        .iter()
        .map(|near| near.last().map_or(0, |last| last.1 / 2))
        .collect();
    let mut radii: Vec<u64> = near
        .iter()
        .map(|near| near.first().map_or(0, |first| first.1 / 2))
        .collect();
    make_mutual(&mut near);
    let mut place_of = vec![0; graph.leaving.len()];
    for (place, &node) in odd.iter().enumerate() {
        place_of[node] = place;
    }
    for sweep in 0..SWEEPS {
        for pair in pairs {
            let [a, b] = pair.nodes.map(|node| place_of[node]);
            let before = [radii[a], radii[b]];
            // Who goes first takes the more.
            let order = if sweep % 2 == 0 { [a, b] } else { [b, a] };
            (radii[a], radii[b]) = (0, 0);
            for place in order {
                radii[place] = room(place, &near, &radii).min(most[place]);
            }
            if radii[a] + radii[b] < before[0] + before[1] {
                [radii[a], radii[b]] = before;
            }
        }
    }
    let all: u64 = radii.iter().sum();
    if !open {
        return all;
    }
    radii.sort_unstable();
    all - radii.iter().rev().take(2).sum::<u64>()
}

/// How large a radius its neighbours let be.
fn room(place: usize, near: &[Vec<(usize, u64)>], radii: &[u64]) -> u64 {
    let left = near[place]
        .iter()
        .map(|&(other, length)| length.saturating_sub(radii[other]));
    left.min().unwrap_or(0)
}

/// The nearest other odd nodes of each, by place in `odd`, with the length of the way, nearest
/// first.
fn neighbours(graph: &Graph, odd: &[usize]) -> Vec<Vec<(usize, u64)>> {
    let mut place_of = vec![usize::MAX; graph.leaving.len()];
    for (place, &node) in odd.iter().enumerate() {
        place_of[node] = place;
    }
    let mut search = Search::new(graph);
    let nearest = |&start: &usize| {
        let mut near = Vec::new();
        search.visit(start, |node, length| {
            if node != start && place_of[node] != usize::MAX {
                near.push((place_of[node], length));
            }
            near.len() < NEAREST
        });
        near
    };
    odd.iter().map(nearest).collect()
}

/// Makes those neighbours that are neighbours one way only.
fn make_mutual(near: &mut [Vec<(usize, u64)>]) {
    let mut missing = Vec::new();
    for (place, others) in near.iter().enumerate() {
        for &(other, length) in others {
            if !near[other].iter().any(|&(back, _)| back == place) {
                missing.push((other, place, length));
            }
        }
    }
    for (place, other, length) in missing {
        near[place].push((other, length));
    }
}
