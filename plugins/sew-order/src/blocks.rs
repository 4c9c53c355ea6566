//! Blocks of one thread, as few as the precedence allows: by [`a_star`] where that ends in time,
//! else by [`beam`].

use crate::a_star;
use crate::beam;
use crate::beginnings::Search;
use crate::precedence::Precedence;
use crate::shorten;

/// How many objects and pairs the exact search may look at, all in all.
const EXACT_WORK: usize = 20_000_000;

/// Objects to be put into blocks.
pub(crate) struct Task<'a> {
    pub precedence: &'a Precedence,
    /// The thread of each object, numbered from 0; nothing for a barrier, which costs nothing.
    pub threads: &'a [Option<usize>],
    /// How many threads there are.
    pub thread_count: usize,
}

/// Blocks of one thread, in sewing order. Barriers are in none.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Blocks {
    pub blocks: Vec<Vec<usize>>,
    /// The number of blocks that no order can go below, as far as is known.
    pub at_least: usize,
}

/// Puts all objects into blocks.
pub(crate) fn fewest(task: &Task) -> Blocks {
    fewest_within(task, EXACT_WORK)
}

fn fewest_within(task: &Task, work: usize) -> Blocks {
    let search = Search::new(task);
    let start = search.start();
    let at_least = start.further;
    let mut choices = Vec::new();
    match a_star::search(&search, start.clone(), work, &mut choices) {
        Ok((last, blocks)) => Blocks {
            blocks: search.blocks(&search.threads(&choices, last)),
            at_least: blocks,
        },
        Err(proven) => {
            choices.clear();
            let last = beam::search(&search, start, &mut choices);
            let ahead = search.threads(&choices, last);
            let back = from_the_end(task);
            let fewer = if back.len() < ahead.len() {
                back
            } else {
                ahead
            };
            Blocks {
                blocks: search.blocks(&shorten::shortened(&search, fewer)),
                at_least: proven.max(at_least),
            }
        }
    }
}

/// The look-ahead search from the last block to the first: another view of the same task, and
/// every so often the better one. Taken from the beginning, the same threads sew all as well.
fn from_the_end(task: &Task) -> Vec<usize> {
    let reversed = task.precedence.reversed();
    let task = Task {
        precedence: &reversed,
        ..*task
    };
    let search = Search::new(&task);
    let mut choices = Vec::new();
    let last = beam::search(&search, search.start(), &mut choices);
    let mut threads = search.threads(&choices, last);
    threads.reverse();
    threads
}

#[cfg(test)]
mod tests {
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
}
