//! The corners of frames. A thread of 40 weight is taken to be 0.25 mm wide and to spread by 0.1 mm to each
//! side (common practice).

use super::coverage::covered;
use super::shapes::{region, ring_of};
use super::{moves, sew};
use crate::SatinColumn;
use geo::MultiPolygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use std::f64::consts::TAU;

/// A frame `width` mm wide whose corners turn by `turn` degrees, and its corners: of each what lies
/// beyond the inner edges of both arms.
fn frame(turn: f64, width: f64) -> (MultiPolygon<f64>, Vec<MultiPolygon<f64>>) {
    let sides = (360.0 / turn).round() as usize;
    let half = turn.to_radians() / 2.0;
    // The inner sides are 16 mm long.
    let inner = 8.0 / half.sin();
    let outer = inner + width / half.cos();
    let place = |i: usize, radius: f64| {
        let at = (i as f64 + 0.3) / sides as f64 * TAU;
        Coord {
            x: radius * at.cos(),
            y: radius * at.sin(),
        }
    };
    let ring = |radius: f64| ring_of((0..sides).map(|i| place(i, radius)).map(|c| (c.x, c.y)));
    let kite = |i: usize| {
        let (corner, tip) = (place(i, inner), place(i, outer));
        let beside = [i + sides - 1, i + 1].map(|other| {
            // The foot of the inner corner on an outer side.
            let way = place(other, outer) - tip;
            let long = way.x.hypot(way.y);
            tip + way * (width * half.tan() / long)
        });
        region([ring_of(
            [corner, beside[0], tip, beside[1]].map(|c| (c.x, c.y)),
        )])
    };
    let area = region([ring(outer), ring(inner)]);
    (area, (0..sides).map(kite).collect())
}

/// Of each corner, no more than a tip of 0.5 % stays bare (2.5 % where it is so sharp that both arms run out
/// into it), and no stitch is shorter than the step allows or over the split width.
#[test]
fn corners_are_covered_into_their_tips() {
    for turn in [60.0, 90.0, 120.0] {
        for width in [3.0, 4.4, 6.0] {
            for (density, pull_compensation) in [(0.4, 0.2), (0.45, 0.1)] {
                let settings = SatinColumn {
                    density,
                    pull_compensation,
                    ..SatinColumn::default()
                };
                let (area, corners) = frame(turn, width);
                let (stitches, _) = sew(Object::of_region("frame", &area), &settings);
                let shares = corners.iter().map(|corner| covered(corner, &stitches));
                let least = shares.fold(1.0, f64::min);
                let name = format!("{turn} degrees, {width} mm at {density}");
                let wanted = if turn == 60.0 { 0.975 } else { 0.995 };
                println!("{name}: {least:.4} covered");
                assert!(least >= wanted, "{name}: {least}");
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
