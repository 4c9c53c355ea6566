//! How the two arms of a corner end at the line between them.
//!
//! Both arms of a mitre would run out into its tip in stitches too short to sew, and leave it bare. There
//! one of them runs on to the very tip instead: its stitches go past the line as far as they must to
//! be sewn. The other ends where it meets them.

use crate::column::Rung;

/// Crossings into the tip of a mitre are no shorter than this, in mm: safe for the machine, and for what
/// counts as short where two sections meet.
const LEAST: f64 = 1.2;
/// Nor than this share of the width where that is less.
const SHARE: f64 = 0.4;
/// Other crossings into the tip of a corner stop at this width, in mm.
const NARROWEST: f64 = 0.15;
/// The last crossings of both arms of a mitre lie no farther apart than this at the outer edge, in mm.
const BESIDE: f64 = 0.2;
/// Rungs into the tip of a mitre are no longer square to the arm where they are shorter than this, in mm.
const UNSURE: f64 = 0.3;

/// How an arm ends at the line between two arms.
#[derive(Clone, Copy, Debug)]
pub struct Ending {
    /// Whether it goes on into a tip.
    runs_on: bool,
    /// Where it is as narrow as this, in mm.
    stops_at: f64,
    /// How far its crossings go past the line, so that no gap opens, in mm.
    overlap: f64,
    /// How long they are at least, not counting that, in mm.
    least: f64,
}

impl Ending {
    /// It runs out as narrow as it gets, its crossings past the line by `overlap` mm.
    pub fn pointed(overlap: f64) -> Self {
        Self {
            runs_on: false,
            stops_at: NARROWEST,
            overlap,
            least: 0.0,
        }
    }

    /// The endings of two arms in the tip of a mitre, of the one that runs on and of the other, where the
    /// outer edges of a column `width` mm wide turn by `turn` radians.
    pub fn in_tip(width: f64, turn: f64, overlap: f64) -> [Self; 2] {
        let least = LEAST.min(SHARE * width);
        // The other goes on to where it is as wide as the crossings in the tip are long, to where the
        // ends of those meet its own outer edge, and to beside the last of them: whichever lies
        // nearest to the tip.
        let met = least / (1.0 - turn.cos());
        let beside = BESIDE / (turn.cos() * (turn / 2.0).tan()).max(1e-9);
        let runs_on = Self {
            runs_on: true,
            stops_at: UNSURE,
            overlap,
            least,
        };
        let ends = Self {
            runs_on: false,
            stops_at: met.min(least).min(beside).max(NARROWEST),
            ..runs_on
        };
        [runs_on, ends]
    }

    /// Whether its last crossing lies at the tip, as long as those before.
    pub fn reaches_the_tip(&self) -> bool {
        self.runs_on
    }

    /// Whether the arm goes on over a rung that ends at the line.
    pub fn takes(&self, rung: &Rung) -> bool {
        rung.width() >= self.stops_at
    }

    /// How far a rung goes on past the line, in mm.
    pub fn beyond(&self, rung: &Rung) -> f64 {
        self.overlap + (self.least - rung.width()).max(0.0)
    }
}
