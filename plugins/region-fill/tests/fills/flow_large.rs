//! Lines that bend on a sheet as large as a hoop: 300 x 300 mm, 1.8 km of thread at the usual density.

use crate::measures::{Move, covered, from_segment, jumps, length_of, moves, strays_by};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill, Underlay};
use hoopwright_sdk::geometry::area::intersection;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Area, Coord, LineString, MultiPolygon, Polygon};
use hoopwright_sdk::{DirectionMark, Object, Point, Stitch, StitchRole, stitches_of};
use std::f64::consts::TAU;

const PULL: f64 = 0.15;

const SIDE: f64 = 300.0;

/// The sheet's left half has its mirror image on the right, holes and marks alike.
const HOLES: [(f64, f64, f64); 5] = [
    (150., 150., 20.),
    (90., 150., 14.),
    (210., 150., 14.),
    (60., 255., 3.),
    (240., 255., 3.),
];
/// Middle and angle, in degrees.
const MARKS: [(f64, f64, f64); 4] = [
    (60., 80., 30.),
    (240., 80., -30.),
    (60., 220., -40.),
    (240., 220., 40.),
];

fn sheet() -> MultiPolygon<f64> {
    let outer = ring(&[(0., 0.), (SIDE, 0.), (SIDE, SIDE), (0., SIDE)]);
    let hole = |&(x, y, radius): &(f64, f64, f64)| -> LineString<f64> {
        (0..36)
            .map(|i| (TAU * f64::from(i) / 36.0).sin_cos())
            .map(|(sin, cos)| Coord {
                x: x + radius * cos,
                y: y + radius * sin,
            })
            .collect()
    };
    clean(&Polygon::new(outer, HOLES.iter().map(hole).collect()).into())
}

fn marks() -> Vec<DirectionMark> {
    let mark = |&(x, y, angle): &(f64, f64, f64)| {
        let (sin, cos) = angle.to_radians().sin_cos();
        let end = |by: f64| Point {
            x: x + by * cos,
            y: y - by * sin,
        };
        DirectionMark {
            tail: end(-3.0),
            head: end(3.0),
        }
    };
    MARKS.iter().map(mark).collect()
}

/// The cover, after all that must hold whatever it follows: one thread that keeps to the sheet, sewn as
/// asked, without a warning. The thread is 0.25 mm wide and spreads by 0.1 mm at each side (as in
/// `published_values`).
fn cover(follow: Follow, marks: Vec<DirectionMark>) -> Vec<Move> {
    let area = sheet();
    let mut object = Object::of_region("sheet", &area);
    object.sewing.direction_marks = marks;
    let settings = RegionFill {
        follow,
        underlay: Underlay::None,
        pull_compensation: PULL,
        ..RegionFill::default()
    };
    let (object, findings) = sew(object, &settings);
    assert!(findings.is_empty(), "{findings:?}");
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    assert_eq!(jumps(&stitches), 0);
    let mut all = moves(&stitches);
    for m in &all {
        let (length, strays) = (m.length(), strays_by(m, &area));
        let (from, to) = (m.from, m.to);
        assert!(
            (0.3..=4.0 + 1e-6).contains(&length),
            "{length} mm, {from:?}"
        );
        assert!(strays <= PULL + 0.2, "{strays} mm outside, {from:?} {to:?}");
    }
    let short = all.iter().filter(|m| m.length() < 1.0).count();
    assert!(short * 100 <= all.len(), "{short} of {}", all.len());
    let ratio = length_of(&stitches, StitchRole::Cover) * 0.2 / area.unsigned_area();
    assert!((0.95..=1.15).contains(&ratio), "{ratio} times the length");
    all.retain(|m| m.role == StitchRole::Cover);
    all
}

/// No cloth shows at the marks, about the holes, in the corners and along the middle.
fn is_covered(cover: &[Move]) {
    const HALF: f64 = 9.0;
    let middles = [(9., 9.), (291., 9.), (9., 291.), (150., 60.), (150., 240.)];
    let middles = middles
        .into_iter()
        .chain(HOLES.iter().map(|&(x, y, radius)| (x + radius, y)))
        .chain(MARKS.iter().map(|&(x, y, _)| (x, y)));
    for (x, y) in middles {
        let corners = [(-HALF, -HALF), (HALF, -HALF), (HALF, HALF), (-HALF, HALF)];
        let window = solid(&corners.map(|(right, down)| (x + right, y + down)));
        // The longest stitch reaches in from no farther than this.
        let near = |at: Coord<f64>| (at.x - x).abs().max((at.y - y).abs()) < HALF + 4.0;
        let threads = cover.iter().filter(|m| near(m.from));
        let threads: Vec<Move> = threads.map(|m| Move { ..*m }).collect();
        let share = covered(&intersection(&sheet(), &window), &threads, 0.45);
        assert!(share >= 0.995, "{share} covered at {x}, {y}");
    }
}

/// By how many degrees a move turns from an angle or its opposite.
fn turns_by(m: &Move, angle: f64) -> f64 {
    let its = (m.from.y - m.to.y).atan2(m.to.x - m.from.x).to_degrees();
    let apart = (its - angle).rem_euclid(180.0);
    apart.min(180.0 - apart)
}

/// The lines run along each mark; on the line between the two halves they are level, because there every
/// mark is as far as its mirror image, and the two turn from level by as much either way.
#[test]
#[cfg_attr(debug_assertions, ignore = "slow without --release")]
fn a_sheet_as_large_as_a_hoop_follows_its_marks() {
    let cover = cover(Follow::Marks, marks());
    is_covered(&cover);
    for (x, y, angle) in MARKS {
        let near = |m: &&Move| from_segment(Coord { x, y }, m.from, m.to) < 1.5 && m.length() > 1.5;
        let near: Vec<&Move> = cover.iter().filter(near).collect();
        assert!(near.len() >= 12, "{} at {x}, {y}", near.len());
        for m in near {
            let turns = turns_by(m, angle);
            assert!(turns < 5.0, "{turns} degrees from the mark at {:?}", m.from);
        }
    }
    let across = |m: &&Move| (m.from.x + m.to.x - SIDE).abs() < 4.0 && m.length() > 2.5;
    let across: Vec<&Move> = cover.iter().filter(across).collect();
    assert!(across.len() > 1000, "{}", across.len());
    for m in across {
        let turns = turns_by(m, 0.0);
        assert!(turns < 5.0, "{turns} degrees from level at {:?}", m.from);
    }
}

/// The middle of the sheet lies in a hole; every stitch of more than 2.5 mm leads to it or away, save turns.
#[test]
#[cfg_attr(debug_assertions, ignore = "slow without --release")]
fn rays_cover_a_sheet_as_large_as_a_hoop() {
    let cover = cover(Follow::Centre, vec![]);
    is_covered(&cover);
    let long: Vec<&Move> = cover.iter().filter(|m| m.length() > 2.5).collect();
    let astray = long.iter().filter(|m| {
        let middle = (m.from + m.to) / 2.0;
        let angle = (150.0 - middle.y).atan2(middle.x - 150.0).to_degrees();
        turns_by(m, angle) > 5.0
    });
    let astray = astray.count();
    assert!(astray * 50 <= long.len(), "{astray} of {}", long.len());
}
