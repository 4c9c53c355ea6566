//! A sewing order made better step by step, under the precedence.
//!
//! Three moves, each taken only where it costs less (thread changes first, then trims, then
//! travel): a chain of neighbours goes elsewhere in the order (or-opt: I. Or 1976), a whole block
//! of one thread goes elsewhere, and a chain is taken in the opposite order (2-opt: G. Croes 1958).
//! No object is turned round.
//!
//! A move is weighed first by the few steps that it changes, taking hidden ways for granted, and
//! taken only if the true cost of all that it touches is lower. Steps before and after that keep
//! theirs: what is sewn later than they is the same.

use crate::cost::{Cost, Costs, Cut};
use crate::covers::Scratch;
use crate::neighbours::Neighbours;
use crate::phases::Phase;
use crate::precedence::Precedence;
use std::collections::BTreeMap;
use std::ops::Range;

/// A move must save this much, in mm, so that rounding cannot keep it going.
const LEAST_GAIN: f64 = 1e-6;

/// The longest chain whose order is turned round.
const LONGEST_CHAIN: usize = 100;

/// So many of the nearest objects of its thread are tried as new neighbours of a chain.
const NEAREST: usize = 12;

/// The lengths of the chains that are moved elsewhere, beside whole blocks.
const CHAINS: [usize; 10] = [1, 2, 3, 4, 6, 9, 14, 21, 32, 48];

/// In an order of at most so many objects every place is tried, not only those near by.
const SMALL: usize = 300;

/// How many steps the search may look at, all in all.
const WORK: usize = 5_000_000;

/// What it takes to look at a step in earnest, hidden ways and all, against a mere look.
const IN_EARNEST: usize = 6;

/// So many of the places that look best for a chain are tried in earnest.
const TRIED: usize = 3;

/// What a thread change and a trim weigh against a mm of travel, where a move is only considered.
const CHANGE: f64 = 1e8;
const TRIM: f64 = 1e4;

/// Improves `order` until no move makes it better, or the work allowed is spent.
pub(crate) fn improve(
    order: Vec<usize>,
    precedence: &Precedence,
    phases: &[Phase],
    costs: &Costs,
) -> Vec<usize> {
    let mut positions = vec![0; order.len()];
    for (position, &place) in order.iter().enumerate() {
        positions[place] = position;
    }
    let mut improver = Improver {
        near: Neighbours::of(costs, phases, NEAREST),
        order,
        positions,
        block_ends: BTreeMap::new(),
        precedence,
        phases,
        costs,
        trimmed: Vec::new(),
        scratch: Scratch::default(),
        work: WORK,
    };
    improver.trimmed = vec![false; improver.order.len()];
    improver.note_trims(0..improver.order.len());
    while improver.one_round() && improver.work > 0 {}
    improver.order
}

struct Improver<'a> {
    near: Neighbours,
    order: Vec<usize>,
    positions: Vec<usize>,
    /// Where the blocks of each thread and phase begin and end, at the start of the round.
    block_ends: BTreeMap<(usize, Phase), Vec<usize>>,
    precedence: &'a Precedence,
    phases: &'a [Phase],
    costs: &'a Costs<'a>,
    /// Whether the thread is cut after each position, as the order is now.
    trimmed: Vec<bool>,
    scratch: Scratch,
    work: usize,
}

impl Improver<'_> {
    /// Tries every move once. True where any made the order better.
    fn one_round(&mut self) -> bool {
        let mut better = false;
        let count = self.order.len();
        self.note_block_ends();
        for length in CHAINS {
            for from in 0..count.saturating_sub(length - 1) {
                better |= self.try_elsewhere(from..from + length);
            }
        }
        let mut from = 0;
        while from < count {
            let block = self.block_at(from);
            from = block.end;
            better |= self.try_elsewhere(block);
        }
        for from in 0..count {
            better |= self.try_turning(from);
        }
        better
    }

    /// The objects from `from` on that have one thread and phase.
    fn block_at(&self, from: usize) -> Range<usize> {
        let own = self.kind(from);
        let same = (from..self.order.len()).take_while(|&at| self.kind(at) == own);
        let length = same.count();
        from..from + length
    }

    fn note_block_ends(&mut self) {
        self.block_ends.clear();
        let mut from = 0;
        while from < self.order.len() {
            let block = self.block_at(from);
            let kind = self.kind(from);
            from = block.end;
            let ends = self.block_ends.entry(kind).or_default();
            ends.extend([block.start, block.end]);
        }
    }

    /// Where the objects in `chain` may go: the first and the last place that they could stand
    /// before, as the order is now.
    fn window(&self, chain: &Range<usize>) -> Range<usize> {
        let phase = self.phases[self.order[chain.start]];
        let mut earliest = self
            .order
            .partition_point(|&place| self.phases[place] < phase);
        let mut latest = self
            .order
            .partition_point(|&place| self.phases[place] <= phase);
        for &place in &self.order[chain.clone()] {
            for &before in &self.precedence.before[place] {
                let at = self.positions[before];
                if at < chain.start {
                    earliest = earliest.max(at + 1);
                }
            }
            for &after in &self.precedence.after[place] {
                let at = self.positions[after];
                if at >= chain.end {
                    latest = latest.min(at);
                }
            }
        }
        earliest..latest
    }

    /// Moves a chain to the best place it may go, if that is better.
    fn try_elsewhere(&mut self, chain: Range<usize>) -> bool {
        let (first, last) = (self.order[chain.start], self.order[chain.end - 1]);
        // A chain of two phases could only move within both.
        if self.phases[first] != self.phases[last] {
            return false;
        }
        let window = self.window(&chain);
        if window.start >= chain.start && window.end <= chain.end {
            return false;
        }
        let (prior, next) = self.neighbours(&chain);
        let before = chain.start.checked_sub(1).map_or(0.0, |at| self.now(at));
        let saved = before + self.now(chain.end - 1) - self.at_best(prior, next);
        let mut hopeful: Vec<(f64, usize)> = Vec::new();
        for to in self.places_to_try(&chain) {
            self.work = self.work.saturating_sub(1);
            let elsewhere = to < chain.start || to > chain.end;
            if !elsewhere || to < window.start || to > window.end {
                continue;
            }
            let added = self.cost_between(to, first, last);
            if added < saved - LEAST_GAIN {
                hopeful.push((added, to));
            }
        }
        hopeful.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        hopeful.dedup();
        hopeful.iter().take(TRIED).any(|&(_, to)| {
            let (touched, by) = if to < chain.start {
                (to..chain.end, chain.start - to)
            } else {
                (chain.start..to, chain.len())
            };
            let back = touched.len() - by;
            self.try_in_earnest(
                touched,
                |objects| objects.rotate_left(by),
                |objects| objects.rotate_left(back),
            )
        })
    }

    /// Makes a move among the objects in `touched`, and takes it back unless it costs less.
    fn try_in_earnest(
        &mut self,
        touched: Range<usize>,
        make: impl Fn(&mut [usize]),
        take_back: impl Fn(&mut [usize]),
    ) -> bool {
        let steps = touched.start.saturating_sub(1)..touched.end;
        self.work = self.work.saturating_sub(IN_EARNEST * steps.len());
        let before = self.cost_of(steps.clone());
        make(&mut self.order[touched.clone()]);
        self.note_positions(touched.clone());
        let better = self.cost_of(steps.clone()).is_under(&before);
        if better {
            self.note_trims(steps);
        } else {
            take_back(&mut self.order[touched.clone()]);
            self.note_positions(touched);
        }
        better
    }

    fn cost_of(&mut self, steps: Range<usize>) -> Cost {
        let looked_at = self.scratch.looked_at;
        let cost = self
            .costs
            .of_steps(&self.order, &self.positions, steps, &mut self.scratch);
        self.work = self.work.saturating_sub(self.scratch.looked_at - looked_at);
        cost
    }

    fn note_trims(&mut self, steps: Range<usize>) {
        for at in steps.start..steps.end.min(self.order.len()) {
            self.trimmed[at] = self.cost_of(at..at + 1).trims > 0;
        }
    }

    /// What the step after a position costs now; nothing at the end.
    fn now(&self, at: usize) -> f64 {
        let Some(&to) = self.order.get(at + 1) else {
            return 0.0;
        };
        let from = self.order[at];
        let gap = self.costs.gap(from, to);
        self.weighed(from, to, gap, self.trimmed[at])
    }

    /// What a step costs at best, where one of the two may be missing.
    fn at_best(&self, from: Option<usize>, to: Option<usize>) -> f64 {
        match (from, to) {
            (Some(from), Some(to)) => {
                let gap = self.costs.gap(from, to);
                self.weighed(from, to, gap, self.costs.cut(from, to, gap) == Cut::Always)
            }
            _ => 0.0,
        }
    }

    fn weighed(&self, from: usize, to: usize, gap: f64, trimmed: bool) -> f64 {
        let other_thread = self.costs.threads[from] != self.costs.threads[to];
        gap + if other_thread { CHANGE } else { 0.0 } + if trimmed { TRIM } else { 0.0 }
    }

    /// Where a chain might better stand: beside the nearest objects of its thread, at both ends of
    /// every block of it, and a whole block between any two blocks. Each is the position that it
    /// would stand before.
    fn places_to_try(&self, chain: &Range<usize>) -> Vec<usize> {
        let (first, last) = (self.order[chain.start], self.order[chain.end - 1]);
        if self.order.len() <= SMALL {
            return (0..=self.order.len()).collect();
        }
        let behind = self.near.finishes_near_start[first].iter();
        let ahead = self.near.starts_near_finish[last].iter();
        let whole = self.block_at(chain.start).end == chain.end
            && chain
                .start
                .checked_sub(1)
                .is_none_or(|at| self.kind(at) != self.kind(chain.start));
        let blocks = self
            .block_ends
            .iter()
            .filter(|(kind, _)| whole || **kind == self.kind(chain.start));
        behind
            .map(|&place| self.positions[place] + 1)
            .chain(ahead.map(|&place| self.positions[place]))
            .chain(blocks.flat_map(|(_, ends)| ends.iter().copied()))
            .collect()
    }

    /// The thread and phase of the object at a position.
    fn kind(&self, position: usize) -> (usize, Phase) {
        let place = self.order[position];
        (self.costs.threads[place], self.phases[place])
    }

    /// What it costs to put a chain before the object that stands at `to`.
    fn cost_between(&self, to: usize, first: usize, last: usize) -> f64 {
        let prior = to.checked_sub(1).map(|at| self.order[at]);
        let next = self.order.get(to).copied();
        let now = to.checked_sub(1).map_or(0.0, |at| self.now(at));
        self.at_best(prior, Some(first)) + self.at_best(Some(last), next) - now
    }

    /// Takes the chain from `from` on in the opposite order, as long as is best, if that is better.
    fn try_turning(&mut self, from: usize) -> bool {
        let own = self.phases[self.order[from]];
        let (mut forward, mut backward) = (0.0, 0.0);
        let (mut best, mut least) = (None, -LEAST_GAIN);
        let end = (from + LONGEST_CHAIN).min(self.order.len());
        for last in from + 1..end {
            self.work = self.work.saturating_sub(1);
            let place = self.order[last];
            let bound = |&b: &usize| self.positions[b] >= from;
            if self.phases[place] != own || self.precedence.before[place].iter().any(bound) {
                break;
            }
            forward += self.now(last - 1);
            backward += self.at_best(Some(place), Some(self.order[last - 1]));
            let (prior, next) = self.neighbours(&(from..last + 1));
            let before = from.checked_sub(1).map_or(0.0, |at| self.now(at));
            let now = before + forward + self.now(last);
            let turned = self.at_best(prior, Some(place))
                + backward
                + self.at_best(Some(self.order[from]), next);
            if turned - now < least {
                (best, least) = (Some(last), turned - now);
            }
        }
        let Some(last) = best else {
            return false;
        };
        self.try_in_earnest(from..last + 1, <[usize]>::reverse, <[usize]>::reverse)
    }

    fn neighbours(&self, chain: &Range<usize>) -> (Option<usize>, Option<usize>) {
        let prior = chain.start.checked_sub(1).map(|at| self.order[at]);
        (prior, self.order.get(chain.end).copied())
    }

    fn note_positions(&mut self, touched: Range<usize>) {
        for position in touched {
            self.positions[self.order[position]] = position;
        }
    }
}
