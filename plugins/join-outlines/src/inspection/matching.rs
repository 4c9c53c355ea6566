//! Odd nodes paired so that the paths between the partners are shortest in all.

use super::Graph;
use super::shortest::Search;
use integer_blossom::min_weight_perfect_matching;

/// Two odd nodes between which the walk retraces the shortest path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pair {
    pub(super) nodes: [usize; 2],
    pub(super) length: u64,
}

/// Up to so many odd nodes the best pairing is found: the blossom algorithm takes time that grows
/// with the third power of their number.
pub const fn greatest_exact() -> usize {
    400
}

/// The best pairing of `odd` nodes; with `open`, the two that are best left out are left out.
pub(super) fn pair_nodes(graph: &Graph, odd: &[usize], open: bool) -> Vec<Pair> {
    let lengths = distances(graph, odd);
    let mates = pair_exactly(&lengths, odd.len(), open);
    let pairs = mates.iter().enumerate().filter_map(|(i, &mate)| {
        let mate = mate.filter(|&mate| i < mate)?;
        Some(Pair {
            nodes: [odd[i], odd[mate]],
            length: lengths[i * odd.len() + mate],
        })
    });
    pairs.collect()
}

/// The lengths of the shortest paths between every two of `nodes`, row by row.
pub(super) fn distances(graph: &Graph, nodes: &[usize]) -> Vec<u64> {
    let count = nodes.len();
    let mut place_of = vec![usize::MAX; graph.leaving.len()];
    for (place, &node) in nodes.iter().enumerate() {
        place_of[node] = place;
    }
    let mut search = Search::new(graph);
    let mut lengths = vec![0; count * count];
    for (row, &start) in nodes.iter().enumerate() {
        let mut wanted = count;
        search.visit(start, |node, length| {
            let column = place_of[node];
            if column != usize::MAX {
                lengths[row * count + column] = length;
                wanted -= 1;
            }
            wanted > 0
        });
    }
    lengths
}

/// The partner of each of `count` things, so that the sum of `lengths` (row by row, `count` in a
/// row) between partners is least. With `open`, the two that are best left out have none. An odd
/// one that is left over has none either.
pub fn pair_exactly(lengths: &[u64], count: usize, open: bool) -> Vec<Option<usize>> {
    // To leave two out, two strangers join that cost nothing beside anyone but each other. An odd
    // number needs one stranger to come out even.
    let strangers = if count % 2 == 1 {
        1
    } else {
        2 * usize::from(open)
    };
    let all = count + strangers;
    if count < 2 {
        return vec![None; count];
    }
    let longest = lengths.iter().copied().max().unwrap_or(0);
    let mut costs = vec![0_i64; all * all];
    for i in 0..count {
        for j in 0..count {
            costs[i * all + j] = as_cost(lengths[i * count + j]);
        }
    }
    for i in count..all {
        for j in (count..all).filter(|&j| j != i) {
            costs[i * all + j] = as_cost(longest + 1);
        }
    }
    min_weight_perfect_matching(&costs, all)
        .into_iter()
        .take(count)
        .map(|mate| (mate < count).then_some(mate))
        .collect()
}

/// The solver adds and doubles costs: stay far below where that overflows.
fn as_cost(length: u64) -> i64 {
    const GREATEST: i64 = i64::MAX / 64;
    i64::try_from(length).map_or(GREATEST, |cost| cost.min(GREATEST))
}
