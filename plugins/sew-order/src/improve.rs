//! A sewing order made better step by step, under the precedence.
//!
//! Three moves, each taken only where it costs less (thread changes first, then travel): up to
//! three neighbours go elsewhere in the order (or-opt: I. Or 1976), a whole block of one thread
//! goes elsewhere, and a short chain is taken in the opposite order. No object is turned round.

use crate::cost::Costs;
use crate::phases::Phase;
use crate::precedence::Precedence;
use std::ops::Range;

/// A move must save this much, in mm, so that rounding cannot keep it going.
const LEAST_GAIN: f64 = 1e-6;

/// The longest chain whose order is turned round.
const LONGEST_CHAIN: usize = 40;

/// How many places the search may look at, all in all.
const WORK: usize = 120_000_000;

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
        order,
        positions,
        precedence,
        phases,
        costs,
        work: WORK,
    };
    while improver.one_round() && improver.work > 0 {}
    improver.order
}

struct Improver<'a> {
    order: Vec<usize>,
    positions: Vec<usize>,
    precedence: &'a Precedence,
    phases: &'a [Phase],
    costs: &'a Costs<'a>,
    work: usize,
}

impl Improver<'_> {
    /// Tries every move once. True where any made the order better.
    fn one_round(&mut self) -> bool {
        let mut better = false;
        let count = self.order.len();
        for length in 1..=3 {
            for from in 0..count.saturating_sub(length - 1) {
                better |= self.try_elsewhere(from..from + length);
            }
        }
        let mut from = 0;
        while from < count {
            let block = self.block_at(from);
            from = block.end;
            if block.len() > 3 {
                better |= self.try_elsewhere(block);
            }
        }
        for from in 0..count {
            better |= self.try_turning(from);
        }
        better
    }

    /// The objects from `from` on that have one thread and phase.
    fn block_at(&self, from: usize) -> Range<usize> {
        let kind = |place: usize| (self.costs.threads[place], self.phases[place]);
        let own = kind(self.order[from]);
        let length = self.order[from..]
            .iter()
            .take_while(|&&p| kind(p) == own)
            .count();
        from..from + length
    }

    /// Where the objects in `chain` may go: the first and the last place that they could stand
    /// before, as the order is now.
    fn window(&self, chain: &Range<usize>) -> Range<usize> {
        let (mut earliest, mut latest) = (0, self.order.len());
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
        let (prior, next) = self.neighbours(&chain);
        let saved = self.costs.open_step(prior, Some(first))
            + self.costs.open_step(Some(last), next)
            - self.costs.open_step(prior, next);
        let (mut best, mut least) = (None, saved - LEAST_GAIN);
        let before = (window.start..chain.start).rev();
        let after = chain.end + 1..window.end + 1;
        // Both ways stop at the border of the phase.
        let own = self.phases[first];
        for to in before.take_while(|&to| self.phases[self.order[to]] == own) {
            self.work = self.work.saturating_sub(1);
            let added = self.cost_between(to, first, last);
            if added < least {
                (best, least) = (Some(to), added);
            }
        }
        for to in after.take_while(|&to| self.phases[self.order[to - 1]] == own) {
            self.work = self.work.saturating_sub(1);
            let added = self.cost_between(to, first, last);
            if added < least {
                (best, least) = (Some(to), added);
            }
        }
        let Some(to) = best else {
            return false;
        };
        let touched = if to < chain.start {
            self.order[to..chain.end].rotate_left(chain.start - to);
            to..chain.end
        } else {
            self.order[chain.start..to].rotate_left(chain.len());
            chain.start..to
        };
        self.note_positions(touched);
        true
    }

    /// What it costs to put a chain before the object that stands at `to`.
    fn cost_between(&self, to: usize, first: usize, last: usize) -> f64 {
        let prior = to.checked_sub(1).map(|at| self.order[at]);
        let next = self.order.get(to).copied();
        self.costs.open_step(prior, Some(first)) + self.costs.open_step(Some(last), next)
            - self.costs.open_step(prior, next)
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
            forward += self.costs.step(self.order[last - 1], place);
            backward += self.costs.step(place, self.order[last - 1]);
            let (prior, next) = self.neighbours(&(from..last + 1));
            let now = self.costs.open_step(prior, Some(self.order[from]))
                + forward
                + self.costs.open_step(Some(place), next);
            let turned = self.costs.open_step(prior, Some(place))
                + backward
                + self.costs.open_step(Some(self.order[from]), next);
            if turned - now < least {
                (best, least) = (Some(last), turned - now);
            }
        }
        let Some(last) = best else {
            return false;
        };
        self.order[from..=last].reverse();
        self.note_positions(from..last + 1);
        true
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
