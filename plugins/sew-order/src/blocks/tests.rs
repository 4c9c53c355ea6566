//! The exact search and the look-ahead search against trying all orders.

use super::*;
use proptest::prelude::*;

fn task_blocks(threads: &[usize], pairs: &[(usize, usize)], work: usize) -> Blocks {
    let mut precedence = Precedence::free(threads.len());
    for &(first, later) in pairs {
        precedence.add(first, later);
    }
    let threads: Vec<Option<usize>> = threads.iter().copied().map(Some).collect();
    let thread_count = threads.iter().flatten().max().map_or(0, |t| t + 1);
    let task = Task {
        precedence: &precedence,
        threads: &threads,
        thread_count,
    };
    fewest_within(&task, work)
}

/// Two stacks of objects, each object on the one before it. As each stack's threads change at
/// every step, the fewest blocks are the length of the shortest common supersequence of the
/// two, which is m + n less the longest common subsequence. Cormen, Leiserson, Rivest and
/// Stein, "Introduction to Algorithms", section 15.4: of ABCBDAB and BDCABA the longest common
/// subsequence has 4 letters; so 7 + 6 - 4 = 9 blocks.
#[test]
fn two_stacks_need_the_shortest_common_supersequence() {
    let threads: Vec<usize> = "ABCBDABBDCABA"
        .bytes()
        .map(|b| usize::from(b - b'A'))
        .collect();
    let pairs: Vec<_> = (0..12).filter(|&i| i != 6).map(|i| (i, i + 1)).collect();
    let found = task_blocks(&threads, &pairs, EXACT_WORK);
    assert_eq!((found.blocks.len(), found.at_least), (9, 9));
    // The look-ahead search finds it too.
    assert_eq!(task_blocks(&threads, &pairs, 0).blocks.len(), 9);
}

/// A barrier lets a thread run on through it.
#[test]
fn a_barrier_costs_nothing() {
    let mut precedence = Precedence::free(5);
    // 0 and 1 before the barrier 2, then 3 and 4.
    for (first, later) in [(0, 2), (1, 2), (2, 3), (2, 4)] {
        precedence.add(first, later);
    }
    let threads = [Some(0), Some(1), None, Some(0), Some(1)];
    let task = Task {
        precedence: &precedence,
        threads: &threads,
        thread_count: 2,
    };
    let found = fewest(&task);
    assert_eq!((found.blocks.len(), found.at_least), (3, 3));
    assert_eq!(found.blocks[1].len(), 2);
}

/// The fewest blocks over all orders that keep the precedence, by trying them all.
fn by_trying_all(
    threads: &[usize],
    pairs: &[(usize, usize)],
    sewn: &mut Vec<usize>,
    blocks: usize,
    best: &mut usize,
) {
    if sewn.len() == threads.len() {
        *best = (*best).min(blocks);
        return;
    }
    for next in 0..threads.len() {
        let free = pairs
            .iter()
            .all(|&(first, later)| later != next || sewn.contains(&first));
        if sewn.contains(&next) || !free {
            continue;
        }
        let changes = sewn
            .last()
            .is_none_or(|&last| threads[last] != threads[next]);
        sewn.push(next);
        by_trying_all(threads, pairs, sewn, blocks + usize::from(changes), best);
        sewn.pop();
    }
}

/// Whether blocks hold each object once, in one thread each, in an order that keeps `pairs`.
fn is_sound(found: &Blocks, threads: &[usize], pairs: &[(usize, usize)]) -> bool {
    let mut order: Vec<usize> = found.blocks.concat();
    let keeps = pairs.iter().all(|(first, later)| {
        let at = |place| order.iter().position(|p| p == place);
        at(first) < at(later)
    });
    let one_thread = found.blocks.iter().all(|block| {
        block
            .iter()
            .all(|&place| threads[place] == threads[block[0]])
    });
    order.sort_unstable();
    keeps && one_thread && order == (0..threads.len()).collect::<Vec<_>>()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn the_exact_search_equals_trying_all(
        threads in prop::collection::vec(0..3usize, 1..=7),
        bound in prop::collection::vec(prop::bool::weighted(0.35), 21),
    ) {
        let count = threads.len();
        let all = (0..count).flat_map(|later| (0..later).map(move |first| (first, later)));
        let pairs: Vec<_> = all.zip(bound).filter(|(_, bound)| *bound).map(|(p, _)| p).collect();
        let found = task_blocks(&threads, &pairs, EXACT_WORK);
        let mut best = usize::MAX;
        by_trying_all(&threads, &pairs, &mut Vec::new(), 0, &mut best);
        prop_assert_eq!(found.blocks.len(), best);
        prop_assert_eq!(found.at_least, best);
        prop_assert!(is_sound(&found, &threads, &pairs));
        // The look-ahead search is sound, and its bound is one.
        let quick = task_blocks(&threads, &pairs, 0);
        prop_assert!(is_sound(&quick, &threads, &pairs));
        prop_assert!(quick.at_least <= best && quick.blocks.len() >= best);
    }
}
