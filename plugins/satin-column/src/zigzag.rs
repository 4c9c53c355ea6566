//! From crossings to needle points that go from side to side.

use crate::crossings::{Crossing, SAFE_STITCH};
use crate::short_stitches::shortened;
use crate::split::split_points;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// A side of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Its left edge.
    Left,
    /// Its right edge.
    Right,
}

/// A zigzag does not begin on a side farther away than this, in mm.
const FAR: f64 = 3.6;

/// How a zigzag is sewn.
#[derive(Clone, Copy, Debug)]
pub struct Zigzag {
    /// From line 1 to line 3, in mm.
    pub density: f64,
    /// The longest stitch, in mm; longer ones are split.
    pub longest: f64,
    /// Whether needle points are thinned out on the inside of bends.
    pub short_stitches: bool,
}

/// The side of a crossing on which to begin, coming from `from`: the nearer one, unless the stitch
/// to it would be shorter than [`SAFE_STITCH`].
pub fn nearer_side(crossing: Option<&Crossing>, from: Option<Coord<f64>>) -> Side {
    let (Some(crossing), Some(from)) = (crossing, from) else {
        return Side::Left;
    };
    let (left, right) = (
        distance(from, crossing.left),
        distance(from, crossing.right),
    );
    let (nearer, farther, away) = if right < left {
        (Side::Right, Side::Left, right)
    } else {
        (Side::Left, Side::Right, left)
    };
    if away > 0.0 && away < SAFE_STITCH && (SAFE_STITCH..FAR).contains(&left.max(right)) {
        farther
    } else {
        nearer
    }
}

/// The needle points of a zigzag over `crossings`: one on each, on alternating sides, so that the
/// points of one side lie a density apart.
pub fn zigzag(crossings: &[Crossing], first: Side, how: Zigzag) -> Vec<Coord<f64>> {
    let other = match first {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
    };
    let sides: Vec<Side> = (0..crossings.len())
        .map(|k| if k % 2 == 0 { first } else { other })
        .collect();
    let mut points: Vec<Coord<f64>> = crossings
        .iter()
        .zip(&sides)
        .map(|(crossing, side)| match side {
            Side::Left => crossing.left,
            Side::Right => crossing.right,
        })
        .collect();
    if how.short_stitches {
        points = shortened(&points, &sides, crossings, how.density);
    }
    let mut all = Vec::with_capacity(points.len());
    all.extend(points.first());
    for (number, pair) in points.windows(2).enumerate() {
        all.extend(split_points(pair[0], pair[1], how.longest, number));
        all.push(pair[1]);
    }
    all
}
