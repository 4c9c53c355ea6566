//! Shapes that are hardly any, or none.

use crate::measures::{jumps, moves};
use crate::shapes::*;
use hoopwright_region_fill::{RegionFill, region_fill};
use hoopwright_sdk::geometry::geo::{LineString, MultiPolygon, Polygon, Translate};
use hoopwright_sdk::{Object, Polyline, Region, Shape, Stitch, stitches_of};

fn with_angle(angle: f64) -> RegionFill {
    RegionFill {
        angle: Some(angle),
        ..RegionFill::default()
    }
}

fn sound(stitches: &[Stitch], parts: usize) {
    assert!(stitches.len() >= 2);
    assert!(jumps(stitches) < parts, "{} jumps", jumps(stitches));
    for m in moves(stitches) {
        assert!(
            (0.5..=4.0 + 1e-6).contains(&m.length()),
            "{} mm",
            m.length()
        );
    }
}

#[test]
fn a_dot_and_a_sliver_are_sewn() {
    for angle in [0.0, 30.0, 90.0] {
        sound(&stitches(&rectangle(1.0, 1.0), &with_angle(angle)), 1);
        sound(&stitches(&rectangle(20.0, 0.4), &with_angle(angle)), 1);
        sound(&stitches(&rectangle(0.4, 0.4), &with_angle(angle)), 1);
    }
}

#[test]
fn what_is_too_small_is_reported() {
    let mut area = rectangle(0.1, 0.1);
    let (object, findings) = sew(Object::of_region("speck", &area), &with_angle(0.0));
    assert!(object.stitches.is_empty());
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].object.as_deref(), Some("speck"));
    assert!(findings[0].place.is_some());
    // Beside something larger it is left out as well.
    area.0.extend(rectangle(5.0, 5.0).translate(2.0, 0.0).0);
    let (object, findings) = sew(Object::of_region("speck", &area), &with_angle(0.0));
    assert_eq!(findings.len(), 1);
    let stitched: Vec<Stitch> = stitches_of(&object.stitches).collect();
    sound(&stitched, 1);
}

#[test]
fn crossings_and_repeated_corners_are_made_valid() {
    let bow = solid(&[(0., 0.), (20., 10.), (20., 0.), (0., 10.)]);
    sound(&stitches(&bow, &with_angle(0.0)), 2);
    let repeated = solid(&[
        (0., 0.),
        (0., 0.),
        (9., 0.),
        (9., 0.),
        (9., 9.),
        (0., 9.),
        (0., 9.),
    ]);
    sound(&stitches(&repeated, &with_angle(0.0)), 1);
    let spiked = solid(&[(0., 0.), (9., 0.), (9., 9.), (30., 9.), (9., 9.), (0., 9.)]);
    sound(&stitches(&spiked, &with_angle(0.0)), 1);
}

#[test]
fn a_hole_that_touches_the_edge_is_no_obstacle() {
    let outer = ring(&[(0., 0.), (20., 0.), (20., 20.), (0., 20.)]);
    // By a corner, along a side, and cutting all the way through.
    for hole in [
        ring(&[(0., 10.), (5., 5.), (10., 10.), (5., 15.)]),
        ring(&[(0., 5.), (5., 5.), (5., 15.), (0., 15.)]),
        ring(&[(0., 9.), (20., 9.), (20., 11.), (0., 11.)]),
    ] {
        let area: MultiPolygon<f64> = Polygon::new(outer.clone(), vec![hole]).into();
        for angle in [0.0, 45.0, 90.0] {
            sound(&stitches(&area, &with_angle(angle)), 2);
        }
    }
}

/// Corners that lie exactly on rows, and edges along them.
#[test]
fn corners_on_rows_do_no_harm() {
    let steps: Vec<(f64, f64)> = (0..10)
        .flat_map(|i| {
            let i = f64::from(i);
            [(i * 2.0, i * 0.3), ((i + 1.0) * 2.0, i * 0.3)]
        })
        .chain([(20., 10.), (0., 10.)])
        .collect();
    sound(&stitches(&solid(&steps), &with_angle(0.0)), 1);
}

#[test]
fn no_area_is_left_alone_with_a_warning() {
    let flat = |corners: &[(f64, f64)]| {
        let outer = Polyline::new(ring(corners).0, true);
        let holes = vec![];
        Object::new(
            "flat",
            Shape::Region(Region {
                polygons: vec![hoopwright_sdk::Polygon { outer, holes }],
            }),
        )
    };
    let nothing: [&[(f64, f64)]; 5] = [
        &[],
        &[(1., 1.)],
        &[(0., 0.), (5., 0.)],
        &[(0., 0.), (5., 0.), (9., 0.)],
        &[(0., 0.), (f64::NAN, 0.), (9., 9.)],
    ];
    for corners in nothing {
        let (object, findings) = sew(flat(corners), &RegionFill::default());
        assert!(object.stitches.is_empty());
        assert_eq!(findings.len(), 1, "{corners:?}");
        assert_eq!(findings[0].object.as_deref(), Some("flat"));
        assert!(findings[0].help.is_some());
    }
}

#[test]
fn lines_and_manual_objects_are_left_alone_with_a_warning() {
    let line: LineString<f64> = ring(&[(0., 0.), (9., 0.)]);
    for object in [
        Object::of_line("line", &line, 1.0),
        Object::new("hand", Shape::Manual),
    ] {
        let (after, findings) = sew(object.clone(), &RegionFill::default());
        assert_eq!(after, object);
        assert_eq!(findings.len(), 1);
    }
}

#[test]
fn a_giant_is_refused() {
    let object = Object::of_region("barn", &rectangle(1e9, 1e9));
    let failure = region_fill(object, &thread(), &RegionFill::default()).unwrap_err();
    assert_eq!(failure.object.as_deref(), Some("barn"));
    assert!(failure.help.is_some());
}

/// Two blocks joined by a band that is thinner than the rows are apart.
#[test]
fn a_hair_thin_neck_is_crossed_without_a_jump() {
    let thin = solid(&[
        (0., 0.),
        (4., 0.),
        (4., 2.),
        (14., 3.49),
        (14., 2.),
        (18., 2.),
        (18., 6.),
        (14., 6.),
        (14., 3.51),
        (4., 2.02),
        (4., 4.),
        (0., 4.),
    ]);
    for angle in [0.0, 30.0, 90.0] {
        sound(&stitches(&thin, &with_angle(angle)), 1);
    }
}
