//! Rungs between two rails: matched pieces of the two edges of a column.

use crate::column::Rung;
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// The distance between rungs in mm: finer than any density.
pub const RUNG_STEP: f64 = 0.15;

/// A ladder being built.
#[derive(Default)]
pub struct Rails {
    rungs: Vec<Rung>,
}

impl Rails {
    /// Adds one rung.
    pub fn rung(&mut self, left: Coord<f64>, right: Coord<f64>) {
        let rung = Rung::new(left, right);
        if self.rungs.last() != Some(&rung) {
            self.rungs.push(rung);
        }
    }

    /// Goes on from the last rung, along `left` on one side while along `right` on the other.
    /// Both lines start at the last rung.
    pub fn advance(&mut self, left: Vec<Coord<f64>>, right: Vec<Coord<f64>>) {
        let (Some(&left_end), Some(&right_end)) = (left.last(), right.last()) else {
            return;
        };
        let (left, right) = (Measured::new(left), Measured::new(right));
        let steps = (left.length().max(right.length()) / RUNG_STEP)
            .ceil()
            .min(1e5);
        for step in 1..steps as usize {
            let share = step as f64 / steps;
            self.rung(
                left.place(share * left.length()),
                right.place(share * right.length()),
            );
        }
        self.rung(left_end, right_end);
    }

    /// Goes on over rungs made elsewhere.
    pub fn extend(&mut self, rungs: impl IntoIterator<Item = Rung>) {
        for rung in rungs {
            self.rung(rung.left, rung.right);
        }
    }

    /// How many rungs there are.
    pub fn len(&self) -> usize {
        self.rungs.len()
    }

    /// The ladder.
    pub fn into_rungs(self) -> Vec<Rung> {
        self.rungs
    }
}
