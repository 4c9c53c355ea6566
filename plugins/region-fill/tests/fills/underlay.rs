//! The underlay stays inside the edge.

use crate::measures::{Move, from_segment, jumps, moves, strays_by};
use crate::shapes::*;
use hoopwright_region_fill::{RegionFill, Underlay};
use hoopwright_sdk::geometry::geo::{Coord, MultiPolygon};
use hoopwright_sdk::{Object, Stitch, StitchRole, stitches_of};

/// Two squares joined by a neck.
fn dumbbell() -> MultiPolygon<f64> {
    solid(&[
        (0., 0.),
        (20., 0.),
        (20., 9.),
        (40., 9.),
        (40., 0.),
        (60., 0.),
        (60., 20.),
        (40., 20.),
        (40., 11.),
        (20., 11.),
        (20., 20.),
        (0., 20.),
    ])
}

fn from_edge(at: Coord<f64>, area: &MultiPolygon<f64>) -> f64 {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .flat_map(|ring| ring.lines())
        .map(|edge| from_segment(at, edge.start, edge.end))
        .fold(f64::INFINITY, f64::min)
}

fn sewn(area: &MultiPolygon<f64>, settings: &RegionFill, angle: f64) -> Vec<Stitch> {
    let mut object = Object::of_region("a", area);
    object.sewing.angle = Some(angle);
    stitches_of(&sew(object, settings).0.stitches).collect()
}

/// What the setting says, to a tenth of a millimetre: rows end on scan lines.
#[test]
fn cross_rows_stay_inside_by_the_inset() {
    for (name, area) in [
        ("square", rectangle(40., 40.)),
        ("star", holed_star()),
        ("ring", annulus()),
        ("dumbbell", dumbbell()),
        ("comb", comb()),
    ] {
        for inset in [0.6, 1.5, 3.0] {
            for angle in [0.0, 30.0, 90.0] {
                let settings = RegionFill {
                    underlay: Underlay::CrossRows,
                    underlay_inset: inset,
                    ..RegionFill::default()
                };
                let stitches = sewn(&area, &settings, angle);
                let all = moves(&stitches);
                assert_eq!(jumps(&stitches), 0, "{name}");
                let astray = |m: &&Move| strays_by(m, &area) > 0.35 + 0.15;
                assert!(!all.iter().any(|m| astray(&m)), "{name}, {inset}, {angle}");
                for m in all.iter().filter(|m| m.role == StitchRole::Underlay) {
                    let away = from_edge(m.to, &area);
                    assert!(
                        away > inset - 0.1,
                        "{name}, inset {inset}, rows at {angle}: {away} mm at {:?}",
                        m.to
                    );
                }
            }
        }
    }
}

/// Where the rim takes up a neck, both ends are sewn all the same: rows 2.5 mm apart over two squares
/// of 17 mm.
#[test]
fn cross_rows_reach_all_parts_that_the_rim_leaves() {
    let settings = RegionFill {
        underlay: Underlay::CrossRows,
        underlay_inset: 1.5,
        ..RegionFill::default()
    };
    let all = moves(&sewn(&dumbbell(), &settings, 0.0));
    for left in [0.0, 40.0] {
        let part = all.iter().filter(|m| {
            m.role == StitchRole::Underlay && m.from.x >= left && m.to.x <= left + 20.0
        });
        let long: f64 = part.map(|m| (m.to.y - m.from.y).abs()).sum();
        assert!((90.0..140.0).contains(&long), "{long} mm from {left}");
    }
}
