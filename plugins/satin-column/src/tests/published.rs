//! Checks against closed forms and values of the trade.

use super::shapes::{rectangle, ring, ring_of};
use super::{moves, sew, sew_region};
use crate::{SatinColumn, Underlay};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

fn plain() -> SatinColumn {
    SatinColumn {
        short_stitches: false,
        ..SatinColumn::default()
    }
}

fn cover_points(stitches: &[Stitch]) -> Vec<Coord<f64>> {
    let cover = stitches
        .iter()
        .filter(|stitch| stitch.role == StitchRole::Cover);
    cover.map(|stitch| stitch.at).collect()
}

/// Ring of radii 4 and 10: the medial axis is the circle of radius 7 at half-width 3 (closed
/// form), so stitches lie along the radii, and reach 0.2 mm past both edges.
#[test]
fn a_ring_is_crossed_along_its_radii() {
    let (stitches, _) = sew(Object::of_region("ring", &ring(4.0, 10.0)), &plain());
    let (mut inner, mut outer, mut worst) = (0, 0, 0.0_f64);
    let mut outer_points = Vec::new();
    for (a, b) in moves(&stitches).filter(|(a, b)| a.role == b.role && b.role == StitchRole::Cover)
    {
        let step = b.at - a.at;
        let middle = (a.at + b.at) / 2.0;
        let turn = (step.x * middle.y - step.y * middle.x).abs()
            / (step.x.hypot(step.y) * middle.x.hypot(middle.y));
        worst = worst.max(turn.asin().to_degrees());
        let radius = distance(b.at, Coord::zero());
        if radius > 7.0 {
            outer += 1;
            assert!((radius - 10.2).abs() < 0.05, "{radius}");
            outer_points.push(b.at);
        } else {
            inner += 1;
            assert!((radius - 3.8).abs() < 0.05, "{radius}");
        }
    }
    println!("ring: {inner} inner, {outer} outer points, {worst:.2} degrees off the radii");
    assert!(worst < 5.0, "{worst}");
    // Density is line 1 to line 3 on the outer edge: 0.4 mm on the radius of 10.
    let mut steps: Vec<f64> = outer_points
        .windows(2)
        .map(|pair| distance(pair[0], pair[1]))
        .collect();
    steps.sort_by(f64::total_cmp);
    let typical = steps[steps.len() / 2] * 10.0 / 10.2;
    assert!((typical - 0.4).abs() < 0.02, "{typical}");
    assert!(steps[steps.len() - 1] < 0.5, "{}", steps[steps.len() - 1]);
}

/// A rectangle's crossings are square to its long side, as many as its length over half the
/// density, plus one.
#[test]
fn a_rectangle_is_crossed_squarely() {
    let (stitches, _) = sew(Object::of_region("bar", &rectangle(20.0, 3.0)), &plain());
    let points = cover_points(&stitches);
    assert!((100..=102).contains(&points.len()), "{}", points.len());
    for pair in points.windows(2) {
        assert!((pair[0].x - pair[1].x).abs() < 0.25, "{pair:?}");
        let width = (pair[0].y - pair[1].y).abs();
        assert!((width - 3.4).abs() < 0.05, "{width}");
    }
}

/// D. Harris's seminar of 1990 gives satin from 3 mm width 53 to 60 stitches per cm; a density of
/// 0.35 mm is 57.
#[test]
fn density_gives_the_trades_stitches_per_centimetre() {
    let settings = SatinColumn {
        density: 0.35,
        ..plain()
    };
    let (stitches, _) = sew(Object::of_region("bar", &rectangle(40.0, 4.0)), &settings);
    let per_cm = cover_points(&stitches).len() as f64 / 4.0;
    assert!((53.0..=60.0).contains(&per_cm), "{per_cm}");
}

/// A quarter arc of mean radius 20 drawn 4 mm wide: crossings along the radii, from 17.8 to 22.2.
#[test]
fn an_arc_is_crossed_along_its_radii() {
    let arc: geo::LineString<f64> = (0..=90)
        .map(|i| f64::from(i).to_radians())
        .map(|t| Coord {
            x: 20.0 * t.cos(),
            y: 20.0 * t.sin(),
        })
        .collect();
    let (stitches, _) = sew(Object::of_line("arc", &arc, 4.0), &plain());
    for point in cover_points(&stitches) {
        let radius = distance(point, Coord::zero());
        assert!(
            (radius - 17.8).abs() < 0.05 || (radius - 22.2).abs() < 0.05,
            "{radius}"
        );
    }
}

/// Needle points of one side on the inside of a tight bend: inner spacing = outer x r_in / r_out
/// (geometry); short stitches of 60 to 80 % (from memory of trade practice) thin them out.
#[test]
fn short_stitches_thin_out_the_inside_of_a_bend() {
    let count = |short_stitches| {
        let settings = SatinColumn {
            short_stitches,
            ..SatinColumn::default()
        };
        let (stitches, _) = sew(Object::of_region("ring", &ring(3.0, 9.0)), &settings);
        cover_points(&stitches)
            .iter()
            .filter(|point| distance(**point, Coord::zero()) < 3.0)
            .count()
    };
    let (without, with) = (count(false), count(true));
    assert!(with * 10 < without * 6, "{with} of {without}");
}

/// A wheel 12 mm across around a hub of 2.4 mm: lines half a density apart on its rim lie five times as close at
/// the hub (inner spacing = outer x r_in / r_out, geometry): at 0.4, 5 mm of thread on a mm² times 6 / 1.45 within
/// half a mm of it, which is 20.7. What two full layers hold, 2 x 2 / 0.4 = 10 mm/mm², is no heap.
#[test]
fn thread_does_not_heap_around_the_hub_of_a_wheel() {
    let heap = |short_stitches| {
        let settings = SatinColumn {
            short_stitches,
            underlay: Underlay::None,
            pull_compensation: 0.0,
            ..SatinColumn::default()
        };
        let (stitches, _) = sew(Object::of_region("wheel", &ring(1.2, 6.0)), &settings);
        // In steps of 0.02 mm, what lies within 0.5 mm of the hub.
        let mut laid = 0.0;
        for (a, b) in moves(&stitches) {
            let steps = (distance(a.at, b.at) / 0.02).ceil();
            for step in 0..steps as usize {
                let place = a.at + (b.at - a.at) * ((step as f64 + 0.5) / steps);
                if (1.2..1.7).contains(&distance(place, Coord::zero())) {
                    laid += distance(a.at, b.at) / steps;
                }
            }
        }
        laid / (std::f64::consts::PI * (1.7 * 1.7 - 1.2 * 1.2))
    };
    let (without, with) = (heap(false), heap(true));
    assert!(without > 18.0 && with < 10.0, "{without:.1} {with:.1}");
}

/// Splitting from 7 mm (expert practice): no satin stitch is longer, and split points scatter.
#[test]
fn wide_satin_is_split() {
    let stitches = sew_region(&rectangle(60.0, 8.5));
    for (a, b) in moves(&stitches) {
        assert!(distance(a.at, b.at) <= 7.0 + 1e-6);
    }
    let mut columns: Vec<i64> = cover_points(&stitches)
        .iter()
        .filter(|point| point.y > 1.0 && point.y < 7.5)
        .map(|point| (point.y * 2.0).round() as i64)
        .collect();
    columns.sort_unstable();
    columns.dedup();
    assert!(columns.len() >= 3, "{columns:?}");
}

/// Underlay by width (common practice): none under 1 mm, centre run to 2, edge run to 4, edge run
/// and zigzag above.
#[test]
fn underlay_follows_the_width() {
    let underlay = |width: f64| -> Vec<Coord<f64>> {
        let stitches = sew_region(&rectangle(30.0, width));
        let under = stitches
            .iter()
            .skip(1)
            .filter(|stitch| stitch.role == StitchRole::Underlay);
        under
            .map(|stitch| stitch.at)
            .filter(|at| at.x > 2.0 && at.x < 28.0)
            .collect()
    };
    assert!(underlay(0.9).is_empty());
    let centre = underlay(1.5);
    // 26 mm in stitches of at most 2.5 mm.
    assert!(centre.len() >= 10, "{}", centre.len());
    assert!(centre.iter().all(|at| (at.y - 0.75).abs() < 0.05));
    let edges = underlay(3.0);
    for edge in [0.4, 2.6] {
        assert!(edges.iter().filter(|at| (at.y - edge).abs() < 0.05).count() >= 8);
    }
    let both = underlay(6.0);
    assert!(both.len() > edges.len() + 10);
}

/// A mitred right angle: no more than a few needle points near its inside, and both arms covered
/// into the outer corner.
#[test]
fn a_right_angle_is_mitred() {
    let line: geo::LineString<f64> = vec![(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)].into();
    let (stitches, _) = sew(
        Object::of_line("corner", &line, 4.0),
        &SatinColumn::default(),
    );
    let points = cover_points(&stitches);
    let near = |x: f64, y: f64, reach: f64| {
        points
            .iter()
            .filter(|point| distance(**point, Coord { x, y }) < reach)
            .count()
    };
    assert!(near(18.0, 2.0, 0.5) <= 8, "{}", near(18.0, 2.0, 0.5));
    assert!(near(22.0, -2.0, 0.8) >= 1);
}

/// A right angle of a line w mm wide covers a square of w² mm² beyond the inside of its corner. Of
/// that square less than 0.08 mm² stays bare for widths up to 3 mm, which are capped, and less than
/// 2 % of a wider one, which is mitred (both common practice of the trade); and no stitch is under
/// 0.5 mm.
#[test]
fn the_square_of_a_right_angle_is_covered() {
    for width in [1.0, 2.0, 2.5, 3.0, 4.0] {
        let half = width / 2.0;
        let square = super::shapes::region([ring_of([
            (20.0 - half, -half),
            (20.0 + half, -half),
            (20.0 + half, half),
            (20.0 - half, half),
        ])]);
        let there: geo::LineString<f64> = vec![(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)].into();
        let back = there.0.iter().rev().copied().collect();
        let frame = ring_of([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)]);
        let bend = super::shapes::region([ring_of([
            (0.0, -half),
            (20.0 + half, -half),
            (20.0 + half, 20.0),
            (20.0 - half, 20.0),
            (20.0 - half, half),
            (0.0, half),
        ])]);
        let objects = [
            Object::of_line("there", &there, width),
            Object::of_line("back", &back, width),
            Object::of_line("frame", &frame, width),
            Object::of_region("bend", &bend),
        ];
        for object in objects {
            let name = object.id.clone();
            let (stitches, _) = sew(object, &plain());
            let area = width * width;
            let bare = (1.0 - super::coverage::covered(&square, &stitches)) * area;
            let most = if width <= 3.0 { 0.08 } else { 0.02 * area };
            assert!(bare < most, "{name}, {width} mm: {bare} mm² bare");
            let inside = |p: Coord<f64>| (p.x - 20.0).abs() <= half && p.y.abs() <= half;
            let cover = moves(&stitches).filter(|m| m.1.role == StitchRole::Cover);
            let thread: f64 = cover
                .map(|(a, b)| {
                    assert!(distance(a.at, b.at) >= 0.5, "{name}");
                    let parts = 20;
                    let within = (0..parts)
                        .map(|i| (f64::from(i) + 0.5) / f64::from(parts))
                        .filter(|&share| inside(a.at + (b.at - a.at) * share));
                    distance(a.at, b.at) * within.count() as f64 / f64::from(parts)
                })
                .sum();
            println!(
                "{name} {width}: {bare:.3} mm² bare, {:.2} mm/mm²",
                thread / area
            );
        }
    }
}

/// A hairpin of a line 2 mm wide: one arm runs on to the edge, 1 mm past the corner, and the other
/// ends at the corner. From 0.3 mm past it lines 0.2 mm apart are 3 or 4; two layers would be twice
/// as many.
#[test]
fn a_hairpin_is_capped_by_one_arm() {
    let there: geo::LineString<f64> = vec![(0.0, 0.0), (20.0, 0.0), (2.0, 3.0)].into();
    let back = there.0.iter().rev().copied().collect();
    for line in [there, back] {
        let settings = SatinColumn {
            pull_compensation: 0.0,
            ..plain()
        };
        let (stitches, _) = sew(Object::of_line("hairpin", &line, 2.0), &settings);
        let points = cover_points(&stitches);
        let past: Vec<_> = points.iter().filter(|at| at.x > 20.3).collect();
        assert!((3..=5).contains(&past.len()), "{past:?}");
        let reach = past.iter().map(|at| at.x).fold(0.0, f64::max);
        assert!((20.8..21.3).contains(&reach), "{reach}");
    }
}

#[test]
fn a_triangle_is_an_ordinary_region() {
    let stitches = sew_region(&super::shapes::region([ring_of([
        (0., 0.),
        (12., 0.),
        (6., 10.),
    ])]));
    assert_eq!(super::jumps(&stitches), 0);
}
