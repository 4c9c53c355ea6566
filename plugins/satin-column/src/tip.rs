//! How the two arms of a corner end at the line between them.
//!
//! Both arms of a mitre would run out into its tip in stitches too short to sew, and leave it bare. There
//! one of them runs on to the very tip instead: its stitches go past the line as far as they must to
//! be sewn. The other ends where it meets them.

use crate::column::Rung;
use crate::ray::first_met;
use crate::zigzag::Side;
use hoopwright_sdk::prelude::*;

/// Crossings into the tip of a mitre are no shorter than this, in mm: safe for the machine, and for what
/// counts as short where two sections meet,
const LEAST: f64 = 1.2;
/// or than this share of the width where that is less.
const SHARE: f64 = 0.4;
/// Corners that turn by no more than this many degrees have room for that up to the tip, but for a hair
/// that nobody sees.
const ROOMY: f64 = 95.0;
/// Other crossings into the tip of a corner stop at this width, in mm.
const NARROWEST: f64 = 0.15;
/// Crossings that meet the far edge there are at least this share of their length.
const CUT_OFF: f64 = 0.85;
/// The last crossings of both arms of a mitre lie no farther apart than this at the outer edge, in mm.
const BESIDE: f64 = 0.2;
/// Rungs into the tip of a mitre are no longer square to the arm where they are shorter than this, in mm.
const UNSURE: f64 = 0.3;

/// How an arm ends at the line between two arms.
#[derive(Clone, Debug)]
pub struct Ending {
    /// Whether it goes on into a tip.
    runs_on: bool,
    /// Where it is as narrow as this, in mm.
    stops_at: f64,
    /// How far its crossings go past the line, so that no gap opens, in mm,
    overlap: f64,
    /// and how long they are at least, not counting that, in mm,
    least: f64,
    /// unless they meet this edge of the region a little before; it ends where they meet it long before.
    far: Vec<Coord<f64>>,
}

impl Ending {
    /// It runs out as narrow as it gets, its crossings past the line by `overlap` mm.
    pub fn pointed(overlap: f64) -> Self {
        Self {
            runs_on: false,
            stops_at: NARROWEST,
            overlap,
            least: 0.0,
            far: Vec::new(),
        }
    }

    /// The endings of two arms in the tip of a mitre: of the one that runs on, and of the other, whose
    /// outer edge is `far`, where the outer edges of a column `width` mm wide turn by `turn` radians.
    pub fn in_tip(width: f64, turn: f64, overlap: f64, far: Vec<Coord<f64>>) -> [Self; 2] {
        let least = LEAST.min(SHARE * width);
        // The other goes on to where it is as wide as the crossings in the tip are long, to where the
        // ends of those meet its own outer edge, and to beside the last of them: whichever lies
        // nearest to the tip.
        let met = least / (1.0 - turn.cos());
        let beside = BESIDE / (turn.cos() * (turn / 2.0).tan()).max(1e-9);
        let is_roomy = turn <= ROOMY.to_radians();
        let runs_on = Self {
            runs_on: true,
            stops_at: UNSURE,
            least,
            far: if is_roomy { Vec::new() } else { far },
            ..Self::pointed(overlap)
        };
        let ends = Self {
            stops_at: met.min(least).min(beside).max(NARROWEST),
            least: if is_roomy { least } else { 0.0 },
            ..Self::pointed(overlap)
        };
        [runs_on, ends]
    }

    /// Whether its last crossing lies at the tip, as long as those before.
    pub fn reaches_the_tip(&self) -> bool {
        self.runs_on && self.far.is_empty()
    }

    /// Whether the arm goes on over a rung that ends at the line.
    pub fn takes(&self, rung: &Rung) -> bool {
        rung.width() >= self.stops_at
    }

    /// Whether one of its crossings, past the line or cut off at the far edge, is worth a stitch.
    pub fn keeps(&self, crossing: &Rung) -> bool {
        crossing.width() >= CUT_OFF * self.least
    }

    /// How far a rung goes on past the line, which is on the side `inner`, in mm.
    pub fn beyond(&self, rung: &Rung, inner: Side) -> f64 {
        let (outer, inner) = match inner {
            Side::Left => (rung.right, rung.left),
            Side::Right => (rung.left, rung.right),
        };
        let width = rung.width();
        let met = first_met(&self.far, outer, (inner - outer) / width);
        let room = met.map_or(f64::INFINITY, |met| met.ahead - width);
        (self.overlap + (self.least - width).max(0.0)).min(room)
    }
}
