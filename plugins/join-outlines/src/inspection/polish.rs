//! More odd nodes than can be paired exactly at once.

use super::matching::{Pair, distances, pair_exactly};
use super::shortest::Search;
use super::{Graph, bound};

/// How many other odd nodes each one looks at in a round.
const NEAREST: usize = 10;

/// How many pairs are paired anew at once.
const GROUP: usize = 40;

/// How often every neighbourhood is gone through.
const SWEEPS: usize = 2;

/// A good pairing of `odd` nodes: nearest first, then neighbouring pairs anew, exactly. With
/// `open`, the pair that is farthest apart is left out. Beside it, a length that no pairing is
/// under.
pub(super) fn pair_many_nodes(graph: &Graph, odd: &[usize], open: bool) -> (Vec<Pair>, u64) {
    let mut pairs = nearest_first(graph, odd);
    for _ in 0..SWEEPS {
        if !pair_neighbours_anew(graph, &mut pairs) {
            break;
        }
    }
    let bound = bound::least(graph, odd, &pairs, open);
    if open && let Some(longest) = longest(&pairs) {
        pairs.swap_remove(longest);
    }
    (pairs, bound)
}

fn longest(pairs: &[Pair]) -> Option<usize> {
    (0..pairs.len()).max_by_key(|&i| (pairs[i].length, std::cmp::Reverse(i)))
}

/// Pairs the two that are nearest to each other, then the nearest of the rest, and so on.
fn nearest_first(graph: &Graph, odd: &[usize]) -> Vec<Pair> {
    let mut is_left = vec![false; graph.leaving.len()];
    for &node in odd {
        is_left[node] = true;
    }
    let mut left = odd.to_vec();
    let mut search = Search::new(graph);
    let mut pairs = Vec::with_capacity(odd.len() / 2);
    // Every round pairs at least the nearest two, mostly nearly all.
    while left.len() > 1 {
        let mut near = Vec::new();
        for &node in &left {
            let mut seen = 0;
            search.visit(node, |other, length| {
                if is_left[other] && other != node {
                    near.push((length, node.min(other), node.max(other)));
                    seen += 1;
                }
                seen < NEAREST
            });
        }
        near.sort_unstable();
        let before = pairs.len();
        for (length, a, b) in near {
            if is_left[a] && is_left[b] {
                is_left[a] = false;
                is_left[b] = false;
                pairs.push(Pair {
                    nodes: [a, b],
                    length,
                });
            }
        }
        if pairs.len() == before {
            break;
        }
        left.retain(|&node| is_left[node]);
    }
    pairs
}

/// Takes each pair with the pairs around it and pairs their nodes anew. Whether anything got
/// shorter.
fn pair_neighbours_anew(graph: &Graph, pairs: &mut [Pair]) -> bool {
    let mut pair_of = vec![usize::MAX; graph.leaving.len()];
    for (i, pair) in pairs.iter().enumerate() {
        for node in pair.nodes {
            pair_of[node] = i;
        }
    }
    let mut search = Search::new(graph);
    let mut done = vec![false; pairs.len()];
    let mut better = false;
    for first in 0..pairs.len() {
        if done[first] {
            continue;
        }
        let mut group: Vec<usize> = Vec::new();
        search.visit(pairs[first].nodes[0], |node, _| {
            let pair = pair_of[node];
            if pair != usize::MAX && !group.contains(&pair) {
                group.push(pair);
            }
            group.len() < GROUP
        });
        // The inner half has now met all its neighbours; the outer half gets its own turn.
        for &pair in group.iter().take(GROUP / 2) {
            done[pair] = true;
        }
        let nodes: Vec<usize> = group.iter().flat_map(|&pair| pairs[pair].nodes).collect();
        let lengths = distances(graph, &nodes);
        let mates = pair_exactly(&lengths, nodes.len(), false);
        let anew: Vec<Pair> = mates
            .iter()
            .enumerate()
            .filter_map(|(i, &mate)| {
                let mate = mate.filter(|&mate| i < mate)?;
                Some(Pair {
                    nodes: [nodes[i], nodes[mate]],
                    length: lengths[i * nodes.len() + mate],
                })
            })
            .collect();
        let sum = |pairs: &mut dyn Iterator<Item = u64>| pairs.sum::<u64>();
        let before = sum(&mut group.iter().map(|&pair| pairs[pair].length));
        let after = sum(&mut anew.iter().map(|pair| pair.length));
        if anew.len() == group.len() && after < before {
            better = true;
            for (&place, pair) in group.iter().zip(anew) {
                pairs[place] = pair;
                for node in pair.nodes {
                    pair_of[node] = place;
                }
            }
        }
    }
    better
}
