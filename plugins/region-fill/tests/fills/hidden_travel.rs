//! Travel lies under later cover, whatever the density of a full fill and wherever the way leads out of
//! a part of the region.

use crate::measures::{Move, edges, from_segment, jumps, length_of, moves};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill};
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon, Polygon};
use hoopwright_sdk::{DirectionMark, Object, Point, StitchRole, stitches_of};

/// A plate of 60 by 40 mm without what `cuts` take away.
fn plate(cuts: &[MultiPolygon<f64>]) -> MultiPolygon<f64> {
    let whole = rectangle(60.0, 40.0);
    clean(
        &cuts
            .iter()
            .fold(whole, |left, cut| difference(&left, &clean(cut))),
    )
}

fn hole(x: f64, y: f64, radius: f64) -> MultiPolygon<f64> {
    Polygon::new(circle(x, y, radius), vec![]).into()
}

fn slotted() -> MultiPolygon<f64> {
    plate(&[solid(&[(28., 12.), (30., 12.), (30., 41.), (28., 41.)])])
}

fn holed() -> MultiPolygon<f64> {
    plate(&[
        hole(14.0, 20.0, 5.0),
        hole(33.0, 12.0, 4.0),
        hole(46.0, 28.0, 6.0),
    ])
}

fn bayed() -> MultiPolygon<f64> {
    plate(&[
        solid(&[(-1., 8.), (22., 14.), (-1., 20.)]),
        solid(&[(61., 20.), (40., 24.), (61., 33.)]),
        solid(&[(20., 41.), (26., 28.), (34., 41.)]),
    ])
}

/// How many mm of the travel no later cover lies on, within `reach` mm.
fn bare_travel(moves: &[Move], reach: f64) -> f64 {
    let mut bare = 0.0;
    for (i, m) in moves.iter().enumerate() {
        if m.role != StitchRole::Travel {
            continue;
        }
        let steps = (m.length() / 0.25).ceil();
        for k in 0..steps as usize {
            let place = m.from + (m.to - m.from) * ((k as f64 + 0.5) / steps);
            let hidden = moves[i + 1..]
                .iter()
                .filter(|later| later.role == StitchRole::Cover)
                .any(|later| from_segment(place, later.from, later.to) <= reach);
            if !hidden {
                bare += m.length() / steps;
            }
        }
    }
    bare
}

/// Common practice: a travel on finished fill shows. The middle of a thread that hides it lies no
/// farther than 0.2 mm away (40 weight: a thread is 0.25 mm wide, and 0.4 mm as it lies). What is left is
/// the first stitch off a finished row, here and there.
#[test]
fn what_no_later_cover_hides_is_short() {
    for (name, area) in [("slot", slotted()), ("holes", holed()), ("bays", bayed())] {
        for density in [0.4, 0.42, 0.45] {
            for angle in [0.0, 30.0, 75.0, 120.0] {
                for spare_edges in [false, true] {
                    let settings = RegionFill {
                        density,
                        angle: Some(angle),
                        spare_edges,
                        ..RegionFill::default()
                    };
                    let stitches = stitches(&area, &settings);
                    let bare = bare_travel(&moves(&stitches), 0.2);
                    let case = format!("{name} at {angle} degrees, density {density}");
                    assert!(bare < 10.0, "{case}: {bare} mm");
                    assert_eq!(jumps(&stitches), 0, "{case}");
                    // What is sewn for it: rows are as long as the area is large, and a tenth more.
                    let cover = length_of(&stitches, StitchRole::Cover) * density / 2.0;
                    assert!(cover < 1.1 * area.unsigned_area(), "{case}: {cover} mm²");
                }
            }
        }
    }
}

/// Where rows are farther apart, no row lies on a way that leads across them, but the way out of a
/// part along its last row still is hidden: none of it is as long as the slotted plate is wide.
#[test]
fn a_more_open_fill_hides_the_way_out_along_its_last_row() {
    for density in [0.5, 0.55, 0.6] {
        for angle in [0.0, 30.0, 75.0] {
            let settings = RegionFill {
                density,
                angle: Some(angle),
                ..RegionFill::default()
            };
            let bare = bare_travel(&moves(&stitches(&slotted(), &settings)), density / 2.0);
            assert!(bare < 6.0, "{angle} degrees, density {density}: {bare} mm");
        }
    }
}

/// The longest stretch of travel, in mm, that lies neither under later cover nor along the edge.
fn longest_in_sight(moves: &[Move], area: &MultiPolygon<f64>) -> f64 {
    let (mut longest, mut so_far) = (0.0_f64, 0.0);
    for (i, m) in moves.iter().enumerate() {
        if m.role != StitchRole::Travel {
            so_far = 0.0;
            continue;
        }
        let steps = (m.length() / 0.25).ceil();
        for k in 0..steps as usize {
            let place = m.from + (m.to - m.from) * ((k as f64 + 0.5) / steps);
            let later = moves[i + 1..].iter();
            let hidden = later
                .filter(|later| later.role == StitchRole::Cover)
                .any(|later| from_segment(place, later.from, later.to) <= 0.25);
            let along_edge = || edges(area).any(|(a, b)| from_segment(place, a, b) <= 0.6);
            if hidden || along_edge() {
                so_far = 0.0;
            } else {
                so_far += m.length() / steps;
                longest = longest.max(so_far);
            }
        }
    }
    longest
}

/// Lines that bend, close up and end amid the region leave many ways to lead: each part is sewn before
/// what it hangs on, from its far end.
#[test]
fn bent_lines_are_reached_under_later_ones() {
    let mark = |x: f64, y: f64, to: (f64, f64)| DirectionMark {
        tail: Point { x, y },
        head: Point {
            x: x + to.0,
            y: y + to.1,
        },
    };
    let marks = [mark(10.0, 10.0, (5.0, 1.0)), mark(40.0, 20.0, (1.0, 5.0))];
    let shapes = [
        ("slot", slotted()),
        ("holes", holed()),
        ("bays", bayed()),
        ("comb", comb()),
        ("disc", disc()),
    ];
    for (name, area) in shapes {
        for follow in [Follow::Centre, Follow::Marks] {
            let settings = RegionFill {
                follow,
                ..RegionFill::default()
            };
            let mut object = Object::of_region("wing", &area);
            if follow == Follow::Marks {
                object.sewing.direction_marks = marks.to_vec();
            }
            let (object, _) = sew(object, &settings);
            let stitches: Vec<_> = stitches_of(&object.stitches).collect();
            let shown = longest_in_sight(&moves(&stitches), &area);
            assert!(shown < 4.0, "{name}, {follow:?}: {shown} mm");
        }
    }
}
