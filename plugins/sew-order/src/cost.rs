//! What a sewing order costs: thread changes first, then trims, then travel.

use crate::ends::Ends;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// A thread change outweighs any travel, in mm.
const CHANGE: f64 = 1e6;

/// The part of the travel that counts at a thread change, where the machine cuts by itself: only
/// so much that of equal orders the shorter one is taken.
const AT_CHANGE: f64 = 1e-3;

/// What the objects of a design cost in some order.
pub(crate) struct Costs<'a> {
    pub threads: &'a [usize],
    pub ends: &'a [Ends],
    /// How much each object covers, in mm²: of equals the larger is sewn first.
    pub sizes: &'a [f64],
    known: RefCell<BTreeMap<(u32, u32), f64>>,
}

/// Thread changes, trims and mm of travel under one thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cost {
    pub changes: usize,
    pub trims: usize,
    pub travel: f64,
}

impl<'a> Costs<'a> {
    pub fn new(threads: &'a [usize], ends: &'a [Ends], sizes: &'a [f64]) -> Self {
        Self {
            threads,
            ends,
            sizes,
            known: RefCell::default(),
        }
    }

    /// The way from the end of one object to the start of another, in mm: the shortest between
    /// the places where they can end and begin.
    pub fn way(&self, from: usize, to: usize) -> f64 {
        // Of ends that are one place each the way is as quickly told as found.
        if self.ends[from].finish.is_place() && self.ends[to].start.is_place() {
            return self.way_at_least(from, to);
        }
        let pair = (from as u32, to as u32);
        if let Some(&way) = self.known.borrow().get(&pair) {
            return way;
        }
        let way = self.ends[from]
            .finish
            .apart(&self.ends[to].start, f64::INFINITY);
        self.known.borrow_mut().insert(pair, way);
        way
    }

    /// A length that the way is never shorter than, quickly told.
    pub fn way_at_least(&self, from: usize, to: usize) -> f64 {
        self.ends[from].finish.at_least_apart(&self.ends[to].start)
    }

    /// What it costs to go from one object to the next, without trims.
    pub fn step(&self, from: usize, to: usize) -> f64 {
        if self.threads[from] == self.threads[to] {
            self.way(from, to)
        } else {
            CHANGE + AT_CHANGE * self.way_at_least(from, to)
        }
    }

    /// What a step costs where one of the two may be missing.
    pub fn open_step(&self, from: Option<usize>, to: Option<usize>) -> f64 {
        match (from, to) {
            (Some(from), Some(to)) => self.step(from, to),
            _ => 0.0,
        }
    }
}

impl Cost {
    /// Whether this costs no more than `other`, apart from rounding.
    pub fn at_most(&self, other: &Self) -> bool {
        (self.changes, self.trims, self.travel) <= (other.changes, other.trims, other.travel + 1e-9)
    }
}
