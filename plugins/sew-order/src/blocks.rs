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
mod tests;
