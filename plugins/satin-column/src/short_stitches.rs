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
/// Below this they crowd badly, in mm.
const CROWDED_BADLY: f64 = 0.17;
/// How long short stitches are, as shares of the whole crossing: 60 to 80 %, from memory of
/// trade practice. They differ, so that short stitches do not end in a row.
const LENGTHS: [f64; 3] = [0.8, 0.74, 0.77];
/// The same where points crowd badly.
const SHORTER_LENGTHS: [f64; 3] = [0.7, 0.8, 0.6];
/// Crossings under this length are left whole, in mm: a short stitch would be too short.
const LEAST_LENGTH: f64 = 1.4;

/// The needle points of a zigzag, of which every other one is drawn back from the edge wherever
/// the points of its side crowd.
pub fn shortened(
    points: &[Coord<f64>],
    sides: &[Side],
    crossings: &[Crossing],
    density: f64,
) -> Vec<Coord<f64>> {
    let mut shortened = points.to_vec();
    for (k, (&point, crossing)) in points.iter().zip(crossings).enumerate() {
        // The second, fourth, sixth point of each side.
        if (k / 2) % 2 == 0 || k + 2 >= points.len() || k < 2 || crossing.length() < LEAST_LENGTH {
            continue;
        }
        let across = crossing.right - crossing.left;
        let square = |a: Coord<f64>, b: Coord<f64>| {
            (across.x * (b.y - a.y) - across.y * (b.x - a.x)).abs() / crossing.length()
        };
        let spacing = square(points[k - 2], points[k + 2]) / 2.0;
        if spacing < CROWDED && spacing < INSIDE * density {
            let outer = match sides[k] {
                Side::Left => crossing.right,
                Side::Right => crossing.left,
            };
            let lengths = if spacing < CROWDED_BADLY {
                SHORTER_LENGTHS
            } else {
                LENGTHS
            };
            let share = lengths[(k / 4) % lengths.len()].max(SAFE_STITCH / crossing.length());
            shortened[k] = outer + (point - outer) * share;
        }
    }
    shortened
}
