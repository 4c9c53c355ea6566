//! A look-ahead search for few blocks where the exact one grows too large.
//!
//! All kept beginnings grow by one block at a time; of those that result, the ones with the
//! smallest bound on what is left are kept, as many as the size of the design allows.

use crate::beginnings::{Beginning, Choice, Search};
use std::collections::BTreeSet;

/// How many objects and pairs the search may look at in each block, all in all.
const WORK_A_BLOCK: usize = 2_000_000;

/// The last choice of the best order found.
pub(crate) fn search(
    search: &Search,
    start: Beginning,
    choices: &mut Vec<Choice>,
) -> Option<usize> {
    let precedence = search.task.precedence;
    let pairs: usize = precedence.before.iter().map(Vec::len).sum();
    let size = (precedence.len() * search.task.thread_count.max(1) + pairs).max(1);
    let kept = (WORK_A_BLOCK / size).clamp(4, 256);
    let mut beginnings = vec![start];
    // Every block takes at least one object, so this ends.
    loop {
        if let Some(done) = beginnings.iter().find(|b| b.ready.is_empty()) {
            return done.choice;
        }
        let mut next: Vec<Beginning> = beginnings
            .iter()
            .flat_map(|from| search.next(from, choices))
            .collect();
        // A stable sort: of equals the one found first.
        next.sort_by_key(|b| (b.further, std::cmp::Reverse(b.sewn.len())));
        let mut seen = BTreeSet::new();
        next.retain(|b| seen.len() < kept && seen.insert(b.sewn.clone()));
        if next.is_empty() {
            return None;
        }
        beginnings = next;
    }
}
