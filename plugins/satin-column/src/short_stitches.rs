//! Short stitches on the inside of bends, where needle points would crowd.

use crate::crossings::{Crossing, SAFE_STITCH};
use crate::zigzag::Side;
use hoopwright_sdk::prelude::*;

/// On one side of a column, needle points closer than this crowd, in mm. From memory of trade
/// practice.
const CROWDED: f64 = 0.25;
/// Only where a side's points lie closer than this share of the density is it the inside of a
/// bend; otherwise the whole column is dense, and meant to be.
const INSIDE: f64 = 0.8;
/// How long short stitches are, as shares of the whole crossing, where points lie closer than so many mm: 60 to
/// 80 %, from memory of trade practice, and less around the hub of a wheel. They differ, so that short
/// stitches do not end in a row.
const SHORT: [(f64, [f64; 3]); 3] = [
    (0.125, [0.6, 0.7, 0.5]),
    (0.17, [0.7, 0.8, 0.6]),
    (CROWDED, [0.8, 0.74, 0.77]),
];
/// The same for every other one of those left whole: they crowd again where points lie half as far apart.
const LESS_SHORT: [(f64, [f64; 3]); 1] = [(CROWDED / 2.0, [0.87, 0.9, 0.84])];
/// Short stitches are no shorter than this, in mm: they come aslant from the crossing before, which takes a little
/// off what is safe.
const LEAST_SHORT: f64 = SAFE_STITCH + 0.15;
/// Crossings under this length are left whole, in mm: a short stitch would be too short.
const LEAST_LENGTH: f64 = 1.4;

/// The needle points of a zigzag, of which every other one is drawn back from the edge wherever
/// the points of its side crowd, and every other one of the rest where they crowd still.
pub fn shortened(
    points: &[Coord<f64>],
    sides: &[Side],
    crossings: &[Crossing],
    density: f64,
) -> Vec<Coord<f64>> {
    let mut shortened = points.to_vec();
    for (k, (&point, crossing)) in points.iter().zip(crossings).enumerate() {
        // Of each side the second, fourth, sixth, and the third, seventh, eleventh point.
        let lengths = match (k / 2) % 4 {
            1 | 3 => &SHORT[..],
            2 => &LESS_SHORT[..],
            _ => continue,
        };
        if k + 2 >= points.len() || crossing.length() < LEAST_LENGTH {
            continue;
        }
        let across = crossing.right - crossing.left;
        let square = |a: Coord<f64>, b: Coord<f64>| {
            (across.x * (b.y - a.y) - across.y * (b.x - a.x)).abs() / crossing.length()
        };
        let spacing = square(points[k - 2], points[k + 2]) / 2.0;
        let short = lengths.iter().find(|(below, _)| spacing < *below);
        if let Some((_, shares)) = short
            && spacing < INSIDE * density
        {
            let outer = match sides[k] {
                Side::Left => crossing.right,
                Side::Right => crossing.left,
            };
            let share = shares[(k / 4) % shares.len()].max(LEAST_SHORT / crossing.length());
            shortened[k] = outer + (point - outer) * share;
        }
    }
    shortened
}
