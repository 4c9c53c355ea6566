//! Blocks of one thread, as few as the precedence allows.
//!
//! Once a thread is chosen it takes all it can reach: that never needs more blocks than taking
//! less. So an order is settled by the threads in turn, and the search is over those: A* (Hart,
//! Nilsson and Raphael 1968) over the sets of objects sewn, with the bound of [`LowerBound`].
//! Where it grows too large, [`beam`] keeps the best few beginnings instead.

use crate::beam;
use crate::lower_bound::LowerBound;
use crate::place_set::PlaceSet;
use crate::precedence::Precedence;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// How many objects and pairs the exact search may look at, all in all.
const EXACT_WORK: usize = 60_000_000;

/// How many beginnings the exact search may keep: a bound on its memory.
const EXACT_BEGINNINGS: usize = 60_000;

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

/// A beginning of an order.
#[derive(Clone, Debug)]
pub(crate) struct Beginning {
    pub sewn: PlaceSet,
    pub ready: Vec<usize>,
    pub blocks: usize,
    /// The bound on further blocks.
    pub further: usize,
    /// The last choice that led here, in the list of choices.
    pub choice: Option<usize>,
}

/// A thread chosen after an earlier choice.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Choice {
    pub earlier: Option<usize>,
    pub thread: usize,
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
    let (last, at_least) = match search.exact(start.clone(), work, &mut choices) {
        Ok((last, blocks)) => (last, blocks),
        Err(proven) => {
            choices.clear();
            (
                beam::search(&search, start, &mut choices),
                proven.max(at_least),
            )
        }
    };
    Blocks {
        blocks: search.replay(&choices, last),
        at_least,
    }
}

/// A task with what the search needs of it.
pub(crate) struct Search<'a> {
    pub task: &'a Task<'a>,
    bound: LowerBound,
    /// How many objects of each thread there are.
    totals: Vec<usize>,
}

impl<'a> Search<'a> {
    fn new(task: &'a Task<'a>) -> Self {
        let count = task.thread_count;
        let mut totals = vec![0; count];
        for &thread in task.threads.iter().flatten() {
            totals[thread] += 1;
        }
        let order = any_order(task.precedence);
        let bound = LowerBound::new(task.precedence, task.threads, count, &order);
        Self {
            task,
            bound,
            totals,
        }
    }

    /// Nothing sewn yet but the barriers that nothing holds up.
    fn start(&self) -> Beginning {
        let count = self.task.precedence.len();
        let mut left: Vec<usize> = self.task.precedence.before.iter().map(Vec::len).collect();
        let ready: Vec<usize> = (0..count).filter(|&place| left[place] == 0).collect();
        let nothing = PlaceSet::below(count);
        self.after_taking(&nothing, &ready, &mut left, None, 0, None)
    }

    /// How many objects hold up each one that is not sewn.
    fn holding_up(&self, sewn: &PlaceSet) -> Vec<usize> {
        let before = self.task.precedence.before.iter();
        before
            .map(|before| before.iter().filter(|&&b| !sewn.has(b)).count())
            .collect()
    }

    /// All beginnings with one more block than `from`.
    pub fn next(&self, from: &Beginning, choices: &mut Vec<Choice>) -> Vec<Beginning> {
        let left = self.holding_up(&from.sewn);
        let mut threads: Vec<usize> = from
            .ready
            .iter()
            .filter_map(|&place| self.task.threads[place])
            .collect();
        threads.sort_unstable();
        threads.dedup();
        threads
            .into_iter()
            .map(|thread| {
                choices.push(Choice {
                    earlier: from.choice,
                    thread,
                });
                let choice = Some(choices.len() - 1);
                let mut left = left.clone();
                let blocks = from.blocks + 1;
                self.after_taking(
                    &from.sewn,
                    &from.ready,
                    &mut left,
                    Some(thread),
                    blocks,
                    choice,
                )
            })
            .collect()
    }

    fn after_taking(
        &self,
        sewn: &PlaceSet,
        ready: &[usize],
        left: &mut [usize],
        thread: Option<usize>,
        blocks: usize,
        choice: Option<usize>,
    ) -> Beginning {
        let mut sewn = sewn.clone();
        let (taken, ready) = self.take(ready, left, thread);
        for place in taken {
            sewn.add(place);
        }
        // Counted only where the table of bounds is too large: see `LowerBound`.
        let is_left = |thread: usize| {
            let all = self.task.threads.iter().enumerate();
            let done = all
                .filter(|&(place, &t)| t == Some(thread) && sewn.has(place))
                .count();
            done < self.totals[thread]
        };
        let further = self.bound.of(&ready, is_left);
        Beginning {
            sewn,
            ready,
            blocks,
            further,
            choice,
        }
    }

    /// Takes all that `thread` can reach, and barriers. What is taken, in an order that keeps the
    /// precedence, and what is ready afterwards.
    fn take(
        &self,
        ready: &[usize],
        left: &mut [usize],
        thread: Option<usize>,
    ) -> (Vec<usize>, Vec<usize>) {
        let takes = |place: usize| {
            let own = self.task.threads[place];
            own.is_none() || own == thread
        };
        let (mut taken, mut waiting): (Vec<usize>, Vec<usize>) =
            ready.iter().partition(|&&place| takes(place));
        let mut next = 0;
        while let Some(&place) = taken.get(next) {
            next += 1;
            for &after in &self.task.precedence.after[place] {
                left[after] -= 1;
                if left[after] == 0 {
                    if takes(after) {
                        taken.push(after);
                    } else {
                        waiting.push(after);
                    }
                }
            }
        }
        (taken, waiting)
    }

    /// The last choice and the number of blocks of the best order, or, where `work` does not
    /// suffice, a number of blocks that no order goes below.
    fn exact(
        &self,
        start: Beginning,
        work: usize,
        choices: &mut Vec<Choice>,
    ) -> Result<(Option<usize>, usize), usize> {
        let pairs: usize = self.task.precedence.before.iter().map(Vec::len).sum();
        let size = self.task.precedence.len() + pairs;
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
            for next in self.next(&from, choices) {
                spent += size + next.ready.len() * self.task.thread_count;
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
            if spent > work || beginnings.len() > EXACT_BEGINNINGS {
                return Err(total);
            }
        }
        // Not reached: an acyclic graph can always be sewn to its end.
        Err(0)
    }

    /// The blocks that the choices up to `last` lead to.
    fn replay(&self, choices: &[Choice], last: Option<usize>) -> Vec<Vec<usize>> {
        let mut threads = Vec::new();
        let mut at = last;
        while let Some(choice) = at.and_then(|place| choices.get(place)) {
            threads.push(choice.thread);
            at = choice.earlier;
        }
        let mut left: Vec<usize> = self.task.precedence.before.iter().map(Vec::len).collect();
        let ready: Vec<usize> = (0..left.len()).filter(|&place| left[place] == 0).collect();
        let (_, mut ready) = self.take(&ready, &mut left, None);
        let mut blocks = Vec::new();
        for thread in threads.into_iter().rev() {
            let (mut taken, waiting) = self.take(&ready, &mut left, Some(thread));
            taken.retain(|&place| self.task.threads[place].is_some());
            blocks.push(taken);
            ready = waiting;
        }
        blocks
    }
}

/// Any order that keeps the precedence (Kahn 1962).
fn any_order(precedence: &Precedence) -> Vec<usize> {
    let mut left: Vec<usize> = precedence.before.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..left.len()).filter(|&place| left[place] == 0).collect();
    let mut next = 0;
    while let Some(&place) = order.get(next) {
        next += 1;
        for &after in &precedence.after[place] {
            left[after] -= 1;
            if left[after] == 0 {
                order.push(after);
            }
        }
    }
    order
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
