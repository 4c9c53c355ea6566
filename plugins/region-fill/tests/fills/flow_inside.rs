//! Lines that bend keep to the region, at any density and however it is turned.

use crate::measures::{Move, inside, moves, strays_by};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill, Underlay};
use hoopwright_sdk::geometry::geo::{Coord, MultiPolygon, Point as At, Polygon, Rotate};
use hoopwright_sdk::{DirectionMark, Object, Point, Stitch, StitchRole, stitches_of};
use std::f64::consts::TAU;

const PULL: f64 = 0.15;

/// Two arcs that meet in a tip at either end.
fn leaf() -> MultiPolygon<f64> {
    let side = |sign: f64| {
        (0..24).map(move |i| {
            let t = f64::from(i) / 24.0;
            let x = 15.0 * (1.0 - 2.0 * t) * sign;
            (x, sign * 5.0 * (TAU * t / 2.0).sin())
        })
    };
    solid(&side(1.0).chain(side(-1.0)).collect::<Vec<_>>())
}

fn star() -> MultiPolygon<f64> {
    let arms = (0..10).map(|i| {
        let radius = if i % 2 == 0 { 14.0 } else { 6.0 };
        let (sin, cos) = (TAU * f64::from(i) / 10.0).sin_cos();
        (radius * cos, radius * sin)
    });
    solid(&arms.collect::<Vec<_>>())
}

fn frame() -> MultiPolygon<f64> {
    let square = |half: f64| ring(&[(-half, -half), (half, -half), (half, half), (-half, half)]);
    Polygon::new(square(12.0), vec![square(7.0)]).into()
}

fn sewn(area: &MultiPolygon<f64>, settings: &RegionFill) -> Vec<Stitch> {
    let mut object = Object::of_region("wing", area);
    let mark = |from: (f64, f64), to: (f64, f64)| DirectionMark {
        tail: Point {
            x: from.0,
            y: from.1,
        },
        head: Point { x: to.0, y: to.1 },
    };
    if settings.follow == Follow::Marks {
        object.sewing.direction_marks =
            vec![mark((-9., -4.), (-5., -4.)), mark((4., 5.), (7., 2.))];
    }
    let (object, findings) = sew(object, settings);
    assert!(findings.is_empty(), "{findings:?}");
    stitches_of(&object.stitches).collect()
}

/// How far a place lies outside.
fn outside_by(at: Coord<f64>, area: &MultiPolygon<f64>) -> f64 {
    let still = Move {
        from: at,
        to: at,
        role: StitchRole::Cover,
    };
    strays_by(&still, area)
}

/// A needle point outside is moved out by the pull compensation, or lies at a turn of the seam: as
/// far as a thread is wide (40 weight: 0.35 mm), no more.
#[test]
fn no_needle_point_of_bent_lines_lies_outside() {
    let shapes: [(&str, MultiPolygon<f64>); 6] = [
        ("triangle", solid(&[(-15., 10.), (15., 10.), (0., -14.)])),
        ("disc", disc()),
        ("leaf", leaf()),
        ("star", star()),
        (
            "L",
            solid(&[
                (-12., -12.),
                (-2., -12.),
                (-2., 4.),
                (12., 4.),
                (12., 12.),
                (-12., 12.),
            ]),
        ),
        ("frame", frame()),
    ];
    let mut astray = Vec::new();
    for (name, shape) in &shapes {
        for turn in [0.0, 7.0, 15.0, 38.3, 45.0, 60.0, 105.0, 120.0] {
            let area = shape.rotate_around_point(turn, At::new(0.0, 0.0));
            for density in [0.4, 0.45, 0.5, 0.6, 0.8] {
                for follow in [Follow::Centre, Follow::Marks] {
                    let settings = RegionFill {
                        follow,
                        density,
                        underlay: Underlay::None,
                        pull_compensation: PULL,
                        ..RegionFill::default()
                    };
                    let stitches = sewn(&area, &settings);
                    let out = stitches.iter().map(|s| outside_by(s.at, &area));
                    let farthest = out.fold(0.0, f64::max);
                    if farthest > 0.35 + PULL {
                        astray.push(format!(
                            "{name} turned {turn}, {follow:?} at {density}: {farthest:.2} mm"
                        ));
                    }
                }
            }
        }
    }
    assert!(
        astray.is_empty(),
        "{} of 480:\n{}",
        astray.len(),
        astray.join("\n")
    );
}

/// Nor does a thread cross a bay or a hole.
#[test]
fn no_thread_of_bent_lines_crosses_a_hole() {
    for follow in [Follow::Centre, Follow::Marks] {
        for density in [0.45, 0.5, 0.6, 0.8] {
            let area = frame();
            let settings = RegionFill {
                follow,
                density,
                pull_compensation: PULL,
                ..RegionFill::default()
            };
            for m in moves(&sewn(&area, &settings)) {
                let middle = (m.from + m.to) / 2.0;
                let strays = strays_by(&m, &area);
                assert!(
                    strays <= 0.35 + PULL,
                    "{follow:?} at {density}: {strays} mm, {:?} {:?} {}",
                    m.from,
                    m.to,
                    inside(middle, &area)
                );
            }
        }
    }
}
