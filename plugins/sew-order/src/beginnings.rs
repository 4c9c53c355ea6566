//! Beginnings of an order, each a block of one thread longer than the one it grew from.
//!
//! Once a thread is chosen it takes all it can reach: that never needs more blocks than taking
//! less. So an order is settled by the threads in turn.

use crate::blocks::Task;
use crate::lower_bound::LowerBound;
use crate::place_set::PlaceSet;

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

/// A task with what the search needs of it.
pub(crate) struct Search<'a> {
    pub task: &'a Task<'a>,
    bound: LowerBound,
    /// How many objects of each thread there are.
    totals: Vec<usize>,
}

impl<'a> Search<'a> {
    pub fn new(task: &'a Task<'a>) -> Self {
        let count = task.thread_count;
        let mut totals = vec![0; count];
        for &thread in task.threads.iter().flatten() {
            totals[thread] += 1;
        }
        let order = task.precedence.any_order();
        let bound = LowerBound::new(task.precedence, task.threads, count, &order);
        Self {
            task,
            bound,
            totals,
        }
    }

    /// Nothing sewn yet but the barriers that nothing holds up.
    pub fn start(&self) -> Beginning {
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
        let mut left = self.holding_up(&from.sewn);
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

    /// The beginning with what `thread` takes. `left` is afterwards what it was before.
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
            for &after in &self.task.precedence.after[place] {
                left[after] += 1;
            }
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
    pub fn take(
        &self,
        ready: &[usize],
        left: &mut [usize],
        thread: Option<usize>,
    ) -> (Vec<usize>, Vec<usize>) {
        let takes = |place: usize| {
            let own = self.task.threads[place];
            own.is_none() || own == thread
        };
        // Made large enough at once: this is done for every beginning that is looked at.
        let mut taken = Vec::with_capacity(ready.len());
        let mut waiting = Vec::with_capacity(2 * ready.len());
        for &place in ready {
            if takes(place) {
                taken.push(place);
            } else {
                waiting.push(place);
            }
        }
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

    /// The threads that the choices up to `last` name, in sewing order.
    pub fn threads(&self, choices: &[Choice], last: Option<usize>) -> Vec<usize> {
        let mut threads = Vec::new();
        let mut at = last;
        while let Some(choice) = at.and_then(|place| choices.get(place)) {
            threads.push(choice.thread);
            at = choice.earlier;
        }
        threads.reverse();
        threads
    }

    /// The blocks that `threads` take in turn.
    pub fn blocks(&self, threads: &[usize]) -> Vec<Vec<usize>> {
        let mut left: Vec<usize> = self.task.precedence.before.iter().map(Vec::len).collect();
        let ready: Vec<usize> = (0..left.len()).filter(|&place| left[place] == 0).collect();
        let (_, mut ready) = self.take(&ready, &mut left, None);
        let mut blocks = Vec::new();
        for &thread in threads {
            let (mut taken, waiting) = self.take(&ready, &mut left, Some(thread));
            taken.retain(|&place| self.task.threads[place].is_some());
            blocks.push(taken);
            ready = waiting;
        }
        blocks.retain(|block| !block.is_empty());
        blocks
    }
}
