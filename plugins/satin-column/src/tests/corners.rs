//! The corners of frames. A thread of 40 weight is taken to be 0.25 mm wide and to spread by 0.1 mm to each
//! side (common practice).

use super::coverage::covered;
use super::shapes::{region, ring_of};
use super::{moves, sew};
use crate::SatinColumn;
use geo::MultiPolygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// The inner edge of a frame whose sides are 16 mm long and whose corners turn by `turn` degrees, every other
/// one by so much that `sides` sides close.
fn inner_edge(turn: f64, sides: usize) -> Vec<Coord<f64>> {
    let other = 720.0 / sides as f64 - turn;
    let (mut at, mut way) = (Coord { x: 0.0, y: 0.0 }, (90.0 - 0.2 * turn).to_radians());
    let corners = (0..sides).map(|i| {
        at = at
            + Coord {
                x: way.cos(),
                y: way.sin(),
            } * 16.0;
        way += if i % 2 == 0 { turn } else { other }.to_radians();
        at
    });
    let corners: Vec<_> = corners.collect();
    let middle = corners
        .iter()
        .fold(Coord { x: 0.0, y: 0.0 }, |sum, &c| sum + c)
        / sides as f64;
    corners.into_iter().map(|corner| corner - middle).collect()
}

/// A frame `width` mm wide about the origin, and its corners: of each what lies beyond the inner edges of
/// both arms.
fn frame(inner: &[Coord<f64>], width: f64) -> (MultiPolygon<f64>, Vec<MultiPolygon<f64>>) {
    let sides = inner.len();
    let outward = |i: usize| {
        let way = inner[(i + 1) % sides] - inner[i % sides];
        Coord {
            x: way.y,
            y: -way.x,
        } / way.x.hypot(way.y)
    };
    // All sides lie equally far from the middle.
    let away = inner[0].x * outward(0).x + inner[0].y * outward(0).y;
    let outer: Vec<_> = inner.iter().map(|&c| c * ((away + width) / away)).collect();
    let edge = |places: &[Coord<f64>]| ring_of(places.iter().map(|c| (c.x, c.y)));
    let kite = |i: usize| {
        let beside = [i + sides - 1, i].map(|side| inner[i] + outward(side) * width);
        region([edge(&[inner[i], beside[0], outer[i], beside[1]])])
    };
    let area = region([edge(&outer), edge(inner)]);
    (area, (0..sides).map(kite).collect())
}

/// Of each corner, no more than a tip of 0.5 to 1.5 % stays bare (2.5 % where a frame is so narrow that some of its
/// corners are capped and some mitred), and no stitch is shorter than the step allows or over the split width.
#[test]
fn corners_are_covered_into_their_tips() {
    for (turn, sides, wanted) in [
        (60.0, 6, 0.99),
        (90.0, 4, 0.995),
        (97.0, 4, 0.99),
        (105.0, 4, 0.985),
        (120.0, 3, 0.995),
    ] {
        for width in [3.0, 3.5, 4.4, 5.0, 6.0, 7.0] {
            for (density, pull_compensation) in [(0.4, 0.2), (0.45, 0.1)] {
                let settings = SatinColumn {
                    density,
                    pull_compensation,
                    ..SatinColumn::default()
                };
                let (area, corners) = frame(&inner_edge(turn, sides), width);
                let (stitches, _) = sew(Object::of_region("frame", &area), &settings);
                let shares = corners.iter().map(|corner| covered(corner, &stitches));
                let least = shares.fold(1.0, f64::min);
                let name = format!("{turn} degrees, {width} mm at {density}");
                let is_mixed = turn == 60.0 && width == 3.0;
                println!("{name}: {least:.4} covered");
                assert!(
                    least >= if is_mixed { 0.975 } else { wanted },
                    "{name}: {least}"
                );
                for (a, b) in moves(&stitches).filter(|m| m.1.role == StitchRole::Cover) {
                    let length = distance(a.at, b.at);
                    assert!(
                        (0.5..=settings.split_over + 1e-6).contains(&length),
                        "{name}: {length}"
                    );
                }
            }
        }
    }
}
