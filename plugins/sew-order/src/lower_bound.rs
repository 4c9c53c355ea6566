//! How many blocks of one thread the rest of a design needs at the least.
//!
//! Along any path of the precedence graph, a thread that comes, goes and comes again needs a block
//! each time. The longest such path for each thread, summed over the threads, can never be more
//! than the true number, so a search that trusts it still finds the fewest.

use crate::precedence::Precedence;

/// The largest table, in entries. Beyond it only the threads that are left are counted.
const LARGEST_TABLE: usize = 8_000_000;

/// For each object and thread, how many blocks of that thread are needed from the object on.
pub(crate) struct LowerBound {
    threads: usize,
    needed: Vec<u16>,
}

impl LowerBound {
    /// The bound over a whole graph. `threads` holds each object's thread, nothing for a barrier;
    /// `count` is the number of threads, and `order` any order that keeps the precedence.
    pub fn new(
        precedence: &Precedence,
        threads: &[Option<usize>],
        count: usize,
        order: &[usize],
    ) -> Self {
        let size = precedence.len() * count;
        if size > LARGEST_TABLE {
            return Self {
                threads: count,
                needed: Vec::new(),
            };
        }
        // Two cases: a block of the thread is already open when the path comes here, or not.
        let mut needed = vec![0u16; size];
        let mut needed_open = vec![0u16; size];
        for &place in order.iter().rev() {
            for thread in 0..count {
                let (mut closed, mut open) = (0, 0);
                for &next in &precedence.after[place] {
                    closed = closed.max(needed[next * count + thread]);
                    open = open.max(needed_open[next * count + thread]);
                }
                let here = place * count + thread;
                (needed[here], needed_open[here]) = match threads[place] {
                    None => (closed, open),
                    Some(own) if own == thread => (open.saturating_add(1), open),
                    Some(_) => (closed, closed),
                };
            }
        }
        Self {
            threads: count,
            needed,
        }
    }

    /// The bound on what is left when the objects `ready` are those that could come next, and
    /// whatever the open block could take was taken. `left` says which threads are left at all.
    pub fn of(&self, ready: &[usize], left: impl Fn(usize) -> bool) -> usize {
        if self.needed.is_empty() {
            return (0..self.threads).filter(|&thread| left(thread)).count();
        }
        let mut most = vec![0u16; self.threads];
        for &place in ready {
            let needed = self.needed.chunks_exact(self.threads).nth(place);
            for (most, &needed) in most.iter_mut().zip(needed.unwrap_or_default()) {
                *most = needed.max(*most);
            }
        }
        most.into_iter().map(usize::from).sum()
    }
}
