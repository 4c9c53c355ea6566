//! What a sewing order costs: thread changes first, then trims, then travel.

use crate::covers::{Covers, Scratch};
use crate::gaps::{Gaps, MEASURED};
use hoopwright_sdk::groups::Groups;
use std::ops::Range;

/// What the objects of a design cost in some order.
pub(crate) struct Costs<'a> {
    pub threads: &'a [usize],
    pub gaps: &'a Gaps,
    pub covers: &'a Covers,
    /// Visible travel longer than this, in mm, is trimmed.
    pub trim_over: f64,
    /// Hidden travel longer than this, in mm, is trimmed too.
    pub hidden_travel: f64,
}

/// Thread changes, trims and mm of travel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cost {
    /// How often the thread changes.
    pub changes: usize,
    /// How often it is cut between objects of one thread.
    pub trims: usize,
    /// How far it goes between objects, in mm.
    pub travel: f64,
}

/// Whether the thread is cut on the way to the next object.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cut {
    /// Whatever the order.
    Never,
    /// Whatever the order.
    Always,
    /// Unless the way lies beneath what is sewn later.
    UnlessHidden,
}

impl Costs<'_> {
    /// How far the thread must go from one object to the next.
    pub fn gap(&self, from: usize, to: usize) -> f64 {
        // Between threads the machine stops anyway: nothing was measured there.
        if self.threads[from] == self.threads[to] {
            self.gaps.between(from, to)
        } else {
            self.gaps.at_least(from, to)
        }
    }

    /// Whether the thread is cut between two objects of one thread, `gap` mm apart.
    pub fn cut(&self, from: usize, to: usize, gap: f64) -> Cut {
        if self.threads[from] != self.threads[to] {
            return Cut::Never;
        }
        if gap <= self.trim_over {
            Cut::Never
        } else if gap > self.hidden_travel || !self.covers.may_hide(from, to) {
            Cut::Always
        } else {
            Cut::UnlessHidden
        }
    }

    /// What it costs to go from `from` straight to `to` where all that is `later` is sewn later.
    pub fn step(
        &self,
        from: usize,
        to: usize,
        later: impl Fn(usize) -> bool,
        scratch: &mut Scratch,
    ) -> Cost {
        let gap = self.gap(from, to);
        let trims = match self.cut(from, to, gap) {
            Cut::Never => false,
            Cut::Always => true,
            Cut::UnlessHidden => {
                !self
                    .covers
                    .hide((from, to), self.gaps, self.hidden_travel, later, scratch)
            }
        };
        Cost {
            changes: usize::from(self.threads[from] != self.threads[to]),
            trims: usize::from(trims),
            travel: gap,
        }
    }

    /// What the steps of an order cost that begin in `range`. `positions` tells where each object
    /// stands in the order.
    pub fn of_steps(
        &self,
        order: &[usize],
        positions: &[usize],
        range: Range<usize>,
        scratch: &mut Scratch,
    ) -> Cost {
        let mut cost = Cost::default();
        for at in range.start..range.end.min(order.len().saturating_sub(1)) {
            let later = |place: usize| positions[place] > at;
            cost = cost.and(self.step(order[at], order[at + 1], later, scratch));
        }
        cost
    }

    /// What a whole order costs.
    pub fn of(&self, order: &[usize]) -> Cost {
        let mut positions = vec![0; order.len()];
        for (position, &place) in order.iter().enumerate() {
            positions[place] = position;
        }
        self.of_steps(order, &positions, 0..order.len(), &mut Scratch::default())
    }

    /// The trims that no order with the same blocks goes below: in each block of one thread, one
    /// less than the parts that hang together where all of the block and all that is sewn after
    /// it may hide travel.
    pub fn fewest_trims(&self, order: &[usize]) -> usize {
        let mut pieces = Groups::new(order.len());
        let mut later = vec![false; order.len()];
        let mut in_block = vec![false; order.len()];
        let mut fewest = 0;
        let mut end = order.len();
        // Longer gaps than are measured are looked up pair by pair.
        let all_pairs = self.trim_over > MEASURED;
        while let Some(&last) = order[..end].last() {
            let same = |place: &&usize| self.threads[**place] == self.threads[last];
            let start = end - order[..end].iter().rev().take_while(same).count();
            let block = &order[start..end];
            for &place in block {
                (later[place], in_block[place]) = (true, true);
            }
            // All that hides thread and is sewn from here on.
            for &place in block {
                for other in self.covers.touching(place).iter().copied() {
                    if later[other] && self.covers.touching(other).binary_search(&place).is_ok() {
                        pieces.merge(place, other);
                    }
                }
            }
            let mut hanging = pieces.clone();
            for &place in block {
                for other in self.covers.at_ends(place).filter(|&other| later[other]) {
                    hanging.merge(place, other);
                }
                let near = self.gaps.near(place).iter().map(|&(other, _)| other);
                let near: Vec<usize> = if all_pairs {
                    block.to_vec()
                } else {
                    near.filter(|&other| in_block[other]).collect()
                };
                for other in near {
                    if self.gap(place, other) <= self.trim_over {
                        hanging.merge(place, other);
                    }
                }
            }
            for &place in block {
                in_block[place] = false;
            }
            let mut parts: Vec<usize> = block.iter().map(|&place| hanging.of(place)).collect();
            parts.sort_unstable();
            parts.dedup();
            fewest += parts.len().saturating_sub(1);
            end = start;
        }
        fewest
    }
}

impl Cost {
    /// Both together.
    pub(crate) fn and(self, other: Self) -> Self {
        Self {
            changes: self.changes + other.changes,
            trims: self.trims + other.trims,
            travel: self.travel + other.travel,
        }
    }

    /// Whether this costs no more than `other`, apart from rounding.
    pub(crate) fn at_most(&self, other: &Self) -> bool {
        (self.changes, self.trims, self.travel) <= (other.changes, other.trims, other.travel + 1e-9)
    }

    /// Whether this costs less than `other`, by more than rounding.
    pub(crate) fn is_under(&self, other: &Self) -> bool {
        !other.at_most(self)
    }
}
