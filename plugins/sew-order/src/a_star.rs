//! The fewest blocks: A* (P. Hart, N. Nilsson and B. Raphael 1968) over the sets of objects sewn,
//! with the bound of [`LowerBound`](crate::lower_bound::LowerBound).

use crate::beginnings::{Beginning, Choice, Search};
use crate::place_set::PlaceSet;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// How many beginnings the search may keep: a bound on its memory.
const MOST_BEGINNINGS: usize = 60_000;

/// The last choice and the number of blocks of the best order, or, where `work` does not
/// suffice, a number of blocks that no order goes below.
pub(crate) fn search(
    search: &Search,
    start: Beginning,
    work: usize,
    choices: &mut Vec<Choice>,
) -> Result<(Option<usize>, usize), usize> {
    let pairs: usize = search.task.precedence.before.iter().map(Vec::len).sum();
    let size = search.task.precedence.len() + pairs;
    let mut spent = 0;
    let mut seen: BTreeMap<PlaceSet, usize> = BTreeMap::new();
    let mut beginnings = vec![start];
    // The least total first, then the one that is farthest, then the oldest.
    let mut open = BinaryHeap::new();
    open.push(Reverse((beginnings[0].further, beginnings[0].further, 0)));
    while let Some(Reverse((total, further, place))) = open.pop() {
        let from = beginnings[place].clone();
        if further == 0 && from.ready.is_empty() {
            return Ok((from.choice, from.blocks));
        }
        if seen
            .get(&from.sewn)
            .is_some_and(|&blocks| blocks < from.blocks)
        {
            continue;
        }
        for next in search.next(&from, choices) {
            spent += size + next.ready.len() * search.task.thread_count;
            let better = seen
                .get(&next.sewn)
                .is_none_or(|&blocks| next.blocks < blocks);
            if better {
                seen.insert(next.sewn.clone(), next.blocks);
                let total = next.blocks + next.further;
                open.push(Reverse((total, next.further, beginnings.len())));
                beginnings.push(next);
            }
        }
        if spent > work || beginnings.len() > MOST_BEGINNINGS {
            return Err(total);
        }
    }
    // Not reached: an acyclic graph can always be sewn to its end.
    Err(0)
}
