//! The best order of a few objects that follow each other, by trying all that are allowed.
//!
//! A dynamic programme over what is sewn already and what was sewn last (M. Held and R. Karp 1962;
//! R. Bellman 1962), whose sets are only those that the precedence allows. What a step costs hangs
//! on nothing else: travel is hidden by what is not sewn yet.

use crate::cost::{Cost, Costs};
use crate::covers::Scratch;
use crate::phases::Phase;
use crate::precedence::Precedence;
use std::collections::BTreeMap;

/// Objects that follow each other, and what comes before and after them.
pub(crate) struct Stretch<'a> {
    pub places: &'a [usize],
    pub prior: Option<usize>,
    pub next: Option<usize>,
    /// What is sewn after all of them.
    pub later: &'a [bool],
}

/// The best way to one object as the last of a set.
#[derive(Clone, Copy)]
struct Entry {
    last: usize,
    /// The last but one.
    earlier: usize,
    cost: Cost,
}

/// How far the search may go.
pub(crate) struct Limits {
    /// How many beginnings it may look at.
    pub beginnings: usize,
    /// How many thread changes some order is known to do with.
    pub changes: usize,
}

/// The best order of the objects of `stretch`, with all that leads there and on. Nothing where it
/// would take more than the limits to know.
pub(crate) fn best(
    stretch: &Stretch,
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
    limits: &Limits,
) -> Option<(Vec<usize>, Cost)> {
    let places = stretch.places;
    let count = places.len();
    if count == 0 || count >= 64 {
        return None;
    }
    let needs = needs(places, precedence, phases);
    let further = |sewn: u64, last: usize| further_changes(places, costs, sewn, last);
    let everything = (1u64 << count) - 1;
    let mut scratch = Scratch::default();
    let mut spent = 0;
    let mut layers: Vec<BTreeMap<u64, Vec<Entry>>> = Vec::with_capacity(count);
    for size in 0..count {
        let mut grown: BTreeMap<u64, Vec<Entry>> = BTreeMap::new();
        let empty = BTreeMap::from([(0, Vec::new())]);
        let layer = layers.last().unwrap_or(&empty);
        for (&sewn, entries) in layer {
            let later = |place: usize| {
                stretch.later[place]
                    || places
                        .iter()
                        .position(|&p| p == place)
                        .is_some_and(|at| sewn >> at & 1 == 0)
            };
            let fewest = entries.iter().map(|e| e.cost.changes).min();
            for to in (0..count).filter(|&to| sewn >> to & 1 == 0 && needs[to] & !sewn == 0) {
                let mut best: Option<Entry> = None;
                let mut consider = |entry: Entry| {
                    let better = best.is_none_or(|best| entry.cost.is_under(&best.cost));
                    if better {
                        best = Some(entry);
                    }
                };
                if size == 0 {
                    let cost = stretch.prior.map_or(Cost::default(), |prior| {
                        costs.step(prior, places[to], later, &mut scratch)
                    });
                    consider(Entry {
                        last: to,
                        earlier: to,
                        cost,
                    });
                }
                for entry in entries {
                    // Beyond one more change, any other end of the same set is the better one.
                    if fewest.is_some_and(|fewest| entry.cost.changes > fewest + 1) {
                        continue;
                    }
                    let step = costs.step(places[entry.last], places[to], later, &mut scratch);
                    consider(Entry {
                        last: to,
                        earlier: entry.last,
                        cost: entry.cost.and(step),
                    });
                }
                let hopeful = |entry: &Entry| {
                    entry.cost.changes + further(sewn | 1 << to, to) <= limits.changes
                };
                if let Some(entry) = best.filter(hopeful) {
                    grown.entry(sewn | 1 << to).or_default().push(entry);
                    spent += 1;
                }
            }
        }
        if spent > limits.beginnings {
            return None;
        }
        layers.push(grown);
    }
    let finished = layers.last()?.get(&everything)?;
    let onward = |entry: &Entry| {
        let later = |place: usize| stretch.later[place];
        let step = stretch.next.map_or(Cost::default(), |next| {
            costs.step(places[entry.last], next, later, &mut Scratch::default())
        });
        entry.cost.and(step)
    };
    let mut finished = finished.iter().map(|entry| (*entry, onward(entry)));
    let first = finished.next()?;
    let (mut entry, cost) = finished.fold(first, |best, other| {
        if other.1.is_under(&best.1) {
            other
        } else {
            best
        }
    });
    let mut order = Vec::with_capacity(count);
    let mut sewn = everything;
    loop {
        order.push(places[entry.last]);
        sewn &= !(1 << entry.last);
        if sewn == 0 {
            break;
        }
        let entries = layers.get(sewn.count_ones() as usize - 1)?.get(&sewn)?;
        entry = *entries.iter().find(|e| e.last == entry.earlier)?;
    }
    order.reverse();
    Some((order, cost))
}

/// How many threads at the least must still be changed to where the objects of `sewn` are sewn and
/// the thread of `last` is in the needle.
fn further_changes(places: &[usize], costs: &Costs, sewn: u64, last: usize) -> usize {
    let left = (0..places.len()).filter(|at| sewn >> at & 1 == 0);
    let threads = left.map(|at| costs.threads[places[at]]);
    let mut threads: Vec<usize> = threads
        .filter(|&thread| thread != costs.threads[places[last]])
        .collect();
    threads.sort_unstable();
    threads.dedup();
    threads.len()
}

/// For each object, those of `places` that must be sewn before it, a bit each.
fn needs(places: &[usize], precedence: &Precedence, phases: &[Phase]) -> Vec<u64> {
    let bit = |place: usize| places.iter().position(|&p| p == place);
    places
        .iter()
        .map(|&place| {
            let before = precedence.before[place].iter().filter_map(|&b| bit(b));
            let phase = phases[place];
            let earlier = (0..places.len()).filter(|&at| phases[places[at]] < phase);
            before.chain(earlier).fold(0, |mask, at| mask | 1 << at)
        })
        .collect()
}
