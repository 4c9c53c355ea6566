//! Threads in turn, made fewer where the exact search did not end: one is left out where the others,
//! one of them exchanged for another thread, still sew everything.

use crate::beginnings::Search;

/// How many objects the search may look at, all in all.
const WORK: usize = 20_000_000;

/// How many blocks may lie between the one left out and the one exchanged.
const REACH: usize = 8;

/// What holds up each object, and what could come next, before a block.
type State = (Vec<usize>, Vec<usize>);

/// The threads of as few blocks as were found, starting from `threads`.
pub(crate) fn shortened(search: &Search, mut threads: Vec<usize>) -> Vec<usize> {
    let mut work = WORK;
    while let Some(fewer) = one_fewer(search, &threads, &mut work) {
        threads = fewer;
    }
    threads
}

fn one_fewer(search: &Search, threads: &[usize], work: &mut usize) -> Option<Vec<usize>> {
    let size = search.task.precedence.len();
    let mut states = vec![search.untouched()];
    for &thread in threads {
        let mut state = states.last()?.clone();
        search.go_on(&mut state, &[thread]);
        states.push(state);
    }
    let mut scratch = State::default();
    // From the end, where the least is left to look at.
    for at in (0..threads.len()).rev() {
        let mut sews_all = |rest: &[usize]| {
            *work = work.saturating_sub(size);
            scratch.0.clone_from(&states[at].0);
            scratch.1.clone_from(&states[at].1);
            search.go_on(&mut scratch, rest);
            scratch.1.is_empty()
        };
        let (own, rest) = (threads[at], &threads[at + 1..]);
        let mut found = sews_all(rest).then(|| rest.to_vec());
        for other in 0..search.task.thread_count {
            if found.is_some() {
                break;
            }
            // Another thread here, and one of the next blocks left out; or this one left out, and
            // another thread at one of the next.
            let near = 0..rest.len().min(REACH);
            found = near.clone().find_map(|out| {
                let mut tried = vec![other];
                tried.extend(&rest[..out]);
                tried.extend(&rest[out + 1..]);
                (other != own && sews_all(&tried)).then_some(tried)
            });
            found = found.or_else(|| {
                near.clone().find_map(|exchanged| {
                    let mut tried = rest.to_vec();
                    tried[exchanged] = other;
                    (other != rest[exchanged] && sews_all(&tried)).then_some(tried)
                })
            });
        }
        if let Some(rest) = found {
            let mut fewer = threads[..at].to_vec();
            fewer.extend(rest);
            return Some(fewer);
        }
        if *work == 0 {
            return None;
        }
    }
    None
}

impl Search<'_> {
    /// Before the first block.
    fn untouched(&self) -> State {
        let before = self.task.precedence.before.iter();
        let mut left: Vec<usize> = before.map(Vec::len).collect();
        let ready: Vec<usize> = (0..left.len()).filter(|&place| left[place] == 0).collect();
        let (_, ready) = self.take(&ready, &mut left, None);
        (left, ready)
    }

    /// Goes on to what is left after a block of each of `threads` in turn.
    fn go_on(&self, (left, ready): &mut State, threads: &[usize]) {
        for &thread in threads {
            (_, *ready) = self.take(ready, left, Some(thread));
        }
    }
}
