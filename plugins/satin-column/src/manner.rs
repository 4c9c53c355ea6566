//! How the narrow parts of a column are sewn, which are too narrow for ordinary satin.

use crate::column::Rung;
use crate::crossings::SAFE_STITCH;
use crate::pull::Pull;
use hoopwright_sdk::geometry::measure::way_length;
use hoopwright_sdk::prelude::*;

/// Crossings are no shorter than this, in mm, where [`MOST_WIDENING`] allows it: the narrowest satin is
/// about 1 mm wide (common practice), and edges that draw together take a little off stitches.
const LEAST_LENGTH: f64 = 1.1;
/// Narrow crossings reach no more than this farther than the pull compensation, to each side, in mm:
/// the line would look wider than it was drawn.
const MOST_WIDENING: f64 = 0.2;
/// What is narrow over a shorter way than this is a tip, in mm.
const LEAST_WAY: f64 = 0.5;
/// In tips, crossings keep the pull compensation and this much more to each side, in mm, so that they
/// can be sewn at all.
const LEAST_HALF_WIDTH: f64 = 0.18;
/// Where crossings are shorter than [`SAFE_STITCH`] stitches slant to be that long, but advance no more
/// than this, in mm: more would show the cloth.
const MOST_SLANT: f64 = 0.68;
/// Over so long a way, in mm,
const LONG_WAY: f64 = 1.5;
/// crossings that would be shorter than this are none, in mm,
const LEAST_CROSSING: f64 = 0.9;
/// but stitches of this length along the middle, in mm.
const RUN_PITCH: f64 = 1.4;

/// How crossings are sewn at a rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// At the asked density; what is narrow is sewn wider than it is, as a digitizer would. Where even
    /// that gives too short a crossing, at points, stitches slant.
    Satin,
    /// Slanting: in the tip of a mitre, where two arms lie on each other, and in round ends, which
    /// would look square if they were wider.
    Tip,
    /// No crossings, but a run along the middle: points and hairlines no wider than the thread.
    Run,
}

impl Manner {
    /// The manner between two rungs.
    pub fn between(a: Self, b: Self) -> Self {
        if a == b { a } else { Self::Satin }
    }

    /// How long a crossing is sewn where the column is `width` mm wide.
    pub fn length(self, width: f64, pull: Pull) -> f64 {
        let length = pull.over(width).max(0.0);
        let least = match self {
            Self::Satin => LEAST_LENGTH.min(length + 2.0 * MOST_WIDENING),
            Self::Tip => {
                2.0 * LEAST_HALF_WIDTH + pull.left(width).max(0.0) + pull.right(width).max(0.0)
            }
            Self::Run => return 0.0,
        };
        length.max(least)
    }

    /// How far each stitch has to advance where the column is `width` mm wide, so as not to be short.
    pub fn least_advance(self, width: f64, pull: Pull) -> f64 {
        let length = match self {
            Self::Satin => self.length(width, pull),
            Self::Tip => pull.over(width).max(0.0),
            Self::Run => return RUN_PITCH,
        };
        let slant = (SAFE_STITCH * SAFE_STITCH - length * length).max(0.0);
        slant.sqrt().min(MOST_SLANT)
    }
}

/// The manner at each rung of a ladder.
pub fn manners(rungs: &[Rung], pull: Pull) -> Vec<Manner> {
    let mut manners: Vec<Manner> = rungs
        .iter()
        .map(|rung| {
            if rung.whole {
                Manner::Satin
            } else {
                Manner::Tip
            }
        })
        .collect();
    for stretch in stretches(rungs, |rung| pull.over(rung.width()) < LEAST_LENGTH) {
        if way(&rungs[stretch.clone()]) < LEAST_WAY {
            manners[stretch].fill(Manner::Tip);
        }
    }
    let thin = |rung: &Rung| Manner::Satin.length(rung.width(), pull) < LEAST_CROSSING;
    for stretch in stretches(rungs, thin) {
        if way(&rungs[stretch.clone()]) >= LONG_WAY {
            manners[stretch].fill(Manner::Run);
        }
    }
    manners
}

/// The longest stretches of rungs that are all so.
fn stretches(rungs: &[Rung], is_so: impl Fn(&Rung) -> bool) -> Vec<std::ops::Range<usize>> {
    let mut found: Vec<std::ops::Range<usize>> = Vec::new();
    for (i, _) in rungs.iter().enumerate().filter(|(_, rung)| is_so(rung)) {
        match found.last_mut() {
            Some(last) if last.end == i => last.end = i + 1,
            _ => found.push(i..i + 1),
        }
    }
    found
}

/// The length of the middle line, in mm.
fn way(rungs: &[Rung]) -> f64 {
    let middles: Vec<Coord<f64>> = rungs
        .iter()
        .map(|rung| (rung.left + rung.right) / 2.0)
        .collect();
    way_length(&middles)
}
