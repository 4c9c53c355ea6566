//! How rows are sewn.

use crate::NeedlePoints;
use hoopwright_sdk::StitchRole;

/// A turn along the edge of up to this many mm is part of the edge; a longer one is travelled
/// where the next row covers it.
const LONGEST_TURN: f64 = 4.0;

/// The way in which rows are sewn; lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// The longest stitch along a row.
    pub longest: f64,
    /// The longest stitch to the end of a row, which leans: it may end on the next row.
    pub longest_at_end: f64,
    /// The shortest stitch.
    pub shortest: f64,
    /// How the needle points of neighbouring rows lie to one another.
    pub needle_points: NeedlePoints,
    /// After so many rows needle points in steps realign.
    pub stagger: usize,
    /// How far the ends of the rows are moved out; negative is in.
    pub reach: f64,
    /// Whether sparse rows slant to where the next one begins, instead of turning along the edge.
    pub slants: bool,
    /// What the rows are for.
    pub role: StitchRole,
}

impl Style {
    /// The longest turn from a row to the next that is sewn as a single stitch.
    pub fn step(&self) -> f64 {
        self.longest_at_end.min(LONGEST_TURN)
    }

    /// The same style for rows `pitch` mm apart: a row that begins on the one before and ends on
    /// the one after leans by two of them.
    pub fn leaning(&self, pitch: f64) -> Self {
        let lean = (2.0 * pitch.min(self.shortest)).min(self.longest / 2.0);
        Self {
            longest_at_end: (self.longest * self.longest - lean * lean).sqrt(),
            ..*self
        }
    }

    /// How far the needle points of a row are shifted.
    pub fn shift(&self, row: usize) -> f64 {
        /// The golden section's smaller part: no number is worse to approximate by fractions
        /// (A. Hurwitz, 1891), so that its multiples come near to lining up later than any other's.
        const SCATTER: f64 = 0.381_966_011_250_105_1;
        let share = match self.needle_points {
            NeedlePoints::Steps => self.step_of(row),
            NeedlePoints::Bricks => (row % 2) as f64 / 2.0,
            NeedlePoints::Scattered => (row as f64 * SCATTER).fract(),
        };
        self.longest * share
    }

    /// Neighbours are shifted by about half a stitch: of four rows by 0, 2, 1 and 3 quarters. A
    /// steady shift would draw slanting lines across the fill.
    fn step_of(&self, row: usize) -> f64 {
        let place = row % self.stagger;
        let half = self.stagger.div_ceil(2);
        let parts = if place.is_multiple_of(2) {
            place / 2
        } else {
            half + place / 2
        };
        parts as f64 / self.stagger as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How near, in shares of a stitch, needle points of rows lie that are `rows` apart.
    fn nearest(needle_points: NeedlePoints, rows: usize) -> f64 {
        let style = Style {
            longest: 1.0,
            longest_at_end: 1.0,
            shortest: 0.25,
            needle_points,
            stagger: 4,
            reach: 0.0,
            slants: false,
            role: StitchRole::Cover,
        };
        (0..1000)
            .map(|row| (style.shift(row) - style.shift(row + rows)).abs())
            .map(|apart| apart.min(1.0 - apart))
            .fold(1.0, f64::min)
    }

    #[test]
    fn needle_points_of_neighbours_lie_far_apart() {
        assert_eq!(nearest(NeedlePoints::Steps, 1), 0.25);
        assert_eq!(nearest(NeedlePoints::Bricks, 1), 0.5);
        assert!(nearest(NeedlePoints::Scattered, 1) > 0.38);
    }

    /// Bricks realign at the second row and steps at the fourth; what is scattered never does: rows
    /// nearer than 13 to one another keep a twentieth of a stitch.
    #[test]
    fn what_is_scattered_does_not_line_up() {
        assert_eq!(nearest(NeedlePoints::Bricks, 2), 0.0);
        assert_eq!(nearest(NeedlePoints::Steps, 4), 0.0);
        for rows in 1..13 {
            let apart = nearest(NeedlePoints::Scattered, rows);
            assert!(apart > 0.05, "{rows} rows: {apart}");
        }
    }
}
