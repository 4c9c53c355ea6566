//! What the whole step saved.

use crate::tally::Tally;
use crate::trail::Trail;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// The step's sums.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    /// For each thread: pieces before, trails now, trails by Euler.
    of_thread: BTreeMap<u32, [usize; 3]>,
    objects: usize,
    tally: Tally,
}

impl Summary {
    /// Counts a piece that stays as it is.
    pub fn alone(&mut self, thread: u32) {
        let counts = self.of_thread.entry(thread).or_default();
        counts.iter_mut().for_each(|count| *count += 1);
    }

    /// Counts pieces that became one object.
    pub fn joined(&mut self, thread: u32, pieces: usize, trail: &Trail) {
        let tally = &trail.tally;
        let counts = self.of_thread.entry(thread).or_default();
        counts[0] += pieces;
        counts[1] += trail.paths.len();
        counts[2] += tally.trails_without_retracing;
        self.objects += 1;
        self.tally.drawn += tally.drawn;
        self.tally.retraced += tally.retraced;
        self.tally.retraced_hidden += tally.retraced_hidden;
        self.tally.travel += tally.travel;
        self.tally.least_thread += tally.least_thread;
    }

    /// Reports the sums, where anything was joined.
    pub fn report(&self) {
        if self.objects == 0 {
            return;
        }
        let trims = |i: usize| -> usize {
            let counts = self.of_thread.values();
            counts.map(|counts| counts[i].saturating_sub(1)).sum()
        };
        let tally = &self.tally;
        messages::report(Finding::note(format!(
            "the selected outlines need at most {} trims; as drawn, piece by piece, {}; without sewing any \
             line twice at least {} (Euler). {:.1} mm are sewn a second time in the open, {:.1} mm \
             under what is sewn later, and {:.1} mm of hidden ways lead on. The joined objects take \
             {:.1} mm of line; unbroken threads along them need at least {:.1} mm",
            trims(1),
            trims(0),
            trims(2),
            tally.retraced,
            tally.retraced_hidden,
            tally.travel,
            tally.drawn + tally.retraced + tally.retraced_hidden + tally.travel,
            tally.least_thread,
        )));
    }
}
