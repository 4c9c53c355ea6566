//! What a sewing order costs: thread changes first, then travel.

use crate::ends::Ends;
use hoopwright_sdk::geometry::measure::distance;

/// A thread change outweighs any travel, in mm.
const CHANGE: f64 = 1e6;

/// What the objects of a design cost in some order.
pub(crate) struct Costs<'a> {
    pub threads: &'a [usize],
    pub ends: &'a [Ends],
}

/// Thread changes and mm of travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cost {
    pub changes: usize,
    pub travel: f64,
}

impl Costs<'_> {
    /// What it costs to go from one object to the next.
    pub fn step(&self, from: usize, to: usize) -> f64 {
        let travel = distance(self.ends[from].finish, self.ends[to].start);
        if self.threads[from] == self.threads[to] {
            travel
        } else {
            travel + CHANGE
        }
    }

    /// What a step costs where one of the two may be missing.
    pub fn open_step(&self, from: Option<usize>, to: Option<usize>) -> f64 {
        match (from, to) {
            (Some(from), Some(to)) => self.step(from, to),
            _ => 0.0,
        }
    }

    /// What a whole order costs.
    pub fn of(&self, order: &[usize]) -> Cost {
        let mut cost = Cost {
            changes: 0,
            travel: 0.0,
        };
        for pair in order.windows(2) {
            cost.changes += usize::from(self.threads[pair[0]] != self.threads[pair[1]]);
            cost.travel += distance(self.ends[pair[0]].finish, self.ends[pair[1]].start);
        }
        cost
    }
}

impl Cost {
    /// Whether this costs no more than `other`, apart from rounding.
    pub fn at_most(&self, other: &Self) -> bool {
        (self.changes, self.travel) <= (other.changes, other.travel + 1e-9)
    }
}
