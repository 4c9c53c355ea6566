//! How rows are sewn.

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
    /// After so many rows the needle points realign.
    pub stagger: usize,
    /// How far the ends of the rows are moved out; negative is in.
    pub reach: f64,
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
    ///
    /// Neighbours are shifted by about half a stitch: of four rows by 0, 2, 1 and 3 quarters. A
    /// steady shift would draw slanting lines across the fill.
    pub fn shift(&self, row: usize) -> f64 {
        let place = row % self.stagger;
        let half = self.stagger.div_ceil(2);
        let parts = if place.is_multiple_of(2) {
            place / 2
        } else {
            half + place / 2
        };
        self.longest * parts as f64 / self.stagger as f64
    }
}
