//! Closed forms by hand: which way things turn follows from the contract's words, y down and
//! angles anticlockwise as seen.

use super::*;
use crate::{DirectionMark, Lines, StitchKind, StitchList, StitchRole};
use geo::{Area, LineString, polygon};

const ORIGIN: Coord<f64> = Coord { x: 0.0, y: 0.0 };

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

fn near(a: Coord<f64>, b: Coord<f64>) -> bool {
    (a.x - b.x).abs() < 1e-9 && (a.y - b.y).abs() < 1e-9
}

/// A region with a hole that carries everything an object can carry.
fn feather() -> Object {
    let area = polygon!(
        exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.)],
        interiors: [[(x: 5., y: 1.), (x: 8., y: 4.), (x: 8., y: 1.)]],
    );
    let mut object = Object::of_region("feather", &area.into());
    object.sewing.angle = Some(30.0);
    object.sewing.density = Some(0.4);
    object.sewing.stitch_length = Some(3.0);
    object.sewing.start = Some(Point { x: 1., y: 1. });
    object.sewing.finish = Some(Point { x: 2., y: 2. });
    object.sewing.direction_marks = vec![DirectionMark {
        tail: Point { x: 3., y: 3. },
        head: Point { x: 4., y: 4. },
    }];
    let mut stitches = StitchList::new();
    stitches.needle(StitchRole::Cover, at(5., 5.));
    stitches.trim(at(6., 5.));
    object.stitches = stitches.into_blocks();
    object
}

fn area_of(object: &Object) -> f64 {
    match &object.shape {
        Shape::Region(region) => region.to_multi_polygon().signed_area(),
        _ => 0.0,
    }
}

#[test]
fn a_quarter_turn_anticlockwise_sends_right_to_up() {
    let turn = Placement::turning(90.0, at(1., 1.));
    assert_eq!(turn.of(at(3., 1.)), at(1., -1.));
    assert_eq!(turn.of_angle(0.0), 90.0);
    assert_eq!(turn.of_angle(30.0), 120.0);
}

#[test]
fn an_upright_mirror_swaps_left_and_right() {
    let mirror = Placement::mirroring(90.0, at(45., 0.));
    assert_eq!(mirror.of(at(40., 7.)), at(50., 7.));
    assert!((mirror.of_angle(30.0) - 150.0).abs() < 1e-9);
    assert!(mirror.mirrors());
    assert_eq!(
        Placement::mirroring(0.0, at(0., 5.)).of(at(2., 1.)),
        at(2., 9.)
    );
}

#[test]
fn a_mirror_that_slants_up_to_the_right_swaps_right_and_up() {
    let mirror = Placement::mirroring(45.0, ORIGIN);
    assert_eq!(mirror.of(at(1., 0.)), at(0., -1.));
    assert!((mirror.of_angle(10.0) - 80.0).abs() < 1e-9);
}

#[test]
fn scaling_turns_slanted_angles_and_keeps_upright_and_level_ones() {
    let wider = Placement::scaling(2.0, 0.5, at(10., 10.));
    assert_eq!(wider.of(at(11., 12.)), at(12., 11.));
    assert_eq!((wider.of_angle(0.0), wider.of_angle(90.0)), (0.0, 90.0));
    // atan(0.5 / 2) of a line at 45 degrees.
    assert!((wider.of_angle(45.0) - 0.25_f64.atan().to_degrees()).abs() < 1e-9);
    assert_eq!(wider.mean_scale(), 1.0);
}

#[test]
fn one_comes_after_the_other() {
    let both = Placement::turning(90.0, ORIGIN).then(&Placement::moving(at(10., 0.)));
    assert_eq!(both.of(at(1., 0.)), at(10., -1.));
}

#[test]
fn everything_that_has_a_place_moves() {
    let moved = feather()
        .placed(&Placement::moving(at(10., 20.)))
        .expect("it stays near");
    let Shape::Region(region) = &moved.shape else {
        panic!("it stays a region")
    };
    assert_eq!(region.polygons[0].outer.y[0], 20.0);
    assert!(region.polygons[0].holes[0].x.iter().all(|&x| x >= 15.0));
    assert_eq!(moved.sewing.start, Some(Point { x: 11., y: 21. }));
    assert_eq!(moved.sewing.finish, Some(Point { x: 12., y: 22. }));
    assert_eq!(moved.sewing.direction_marks[0].tail.y, 23.0);
    assert_eq!(moved.sewing.direction_marks[0].head.x, 14.0);
    assert_eq!(moved.stitches[0].x, [15.]);
    assert_eq!(
        (moved.stitches[1].kind, moved.stitches[1].x[0]),
        (StitchKind::Trim, 16.)
    );
    assert_eq!(moved.sewing.angle, Some(30.0));
    let back = moved.placed(&Placement::moving(at(-10., -20.)));
    assert_eq!(back.expect("it stays near"), feather());
}

#[test]
fn a_mirrored_region_keeps_which_way_its_rings_go_round() {
    let before = area_of(&feather());
    let mirror = Placement::mirroring(90.0, at(20., 0.));
    let mirrored = feather().placed(&mirror).expect("it stays near");
    assert_eq!(area_of(&mirrored), before);
    let Shape::Region(region) = &mirrored.shape else {
        panic!("it stays a region")
    };
    assert!(region.polygons[0].outer.closed && region.polygons[0].holes[0].closed);
    assert_eq!(region.polygons[0].outer.x, [40., 31., 31.]);
    assert_eq!(region.polygons[0].outer.y, [0., 9., 0.]);
    assert_eq!(
        mirrored.placed(&mirror).expect("near").shape,
        feather().shape
    );
}

#[test]
fn stroke_width_is_scaled_by_the_mean_and_density_is_not() {
    let line = LineString::from(vec![at(0., 0.), at(5., 0.)]);
    let mut object = Object::of_line("vein", &line, 2.0);
    object.sewing.density = Some(0.4);
    object.sewing.stitch_length = Some(3.0);
    let placed = object
        .placed(&Placement::scaling(4.0, 1.0, ORIGIN))
        .expect("it stays near");
    let Shape::Lines(Lines { paths, width }) = placed.shape else {
        panic!("it stays a line")
    };
    assert_eq!((paths[0].x[1], width), (20.0, 4.0));
    assert_eq!(placed.sewing.density, Some(0.4));
    assert_eq!(placed.sewing.stitch_length, Some(3.0));
}

#[test]
fn what_would_leave_the_cloth_is_refused_by_name() {
    let far = feather().placed(&Placement::moving(at(9_995.0, 0.0)));
    assert_eq!(far.expect_err("too far").object.as_deref(), Some("feather"));
    assert!(
        feather()
            .placed(&Placement::moving(at(f64::NAN, 0.0)))
            .is_err()
    );
}

/// IEEE 754: NaN is not greater than anything, so it lies nowhere rather than far away.
#[test]
fn what_is_no_number_is_not_called_far_away() {
    for by in [f64::NAN, f64::INFINITY] {
        let lost = feather().placed(&Placement::moving(at(by, 0.0)));
        let lost = lost.expect_err("it lies nowhere");
        assert_eq!(lost.object.as_deref(), Some("feather"));
        assert!(lost.message.contains("finite"), "{}", lost.message);
        assert!(!lost.message.contains("10 m"), "{}", lost.message);
    }
}

proptest::proptest! {
    #[test]
    fn there_and_back_is_where_it_was(
        degrees in -720.0..720.0f64, across in 0.1..10.0f64, down in 0.1..10.0f64,
        x in -500.0..500.0f64, y in -500.0..500.0f64, angle in -180.0..180.0f64,
    ) {
        let centre = at(x, y);
        let pairs = [
            (Placement::turning(degrees, centre), Placement::turning(-degrees, centre)),
            (Placement::mirroring(degrees, centre), Placement::mirroring(degrees, centre)),
            (Placement::scaling(across, down, centre), Placement::scaling(1.0 / across, 1.0 / down, centre)),
            (Placement::moving(centre), Placement::moving(-centre)),
        ];
        for (there, back) in pairs {
            let undone = there.undone().expect("not flat");
            for back in [back, undone] {
                let place = at(y / 3.0, x / 7.0);
                proptest::prop_assert!(near(there.then(&back).of(place), place));
                proptest::prop_assert!(near(back.of(there.of(place)), place));
                let off = (back.of_angle(there.of_angle(angle)) - angle).rem_euclid(360.0);
                proptest::prop_assert!(off.min(360.0 - off) < 1e-9, "{off}");
            }
        }
    }

    /// An angle turns with the line it belongs to.
    #[test]
    fn an_angle_is_that_of_the_changed_line(
        degrees in -360.0..360.0f64, across in 0.2..5.0f64, mirror in -90.0..90.0f64, angle in 0.0..180.0f64,
    ) {
        let change = Placement::scaling(across, 1.0, ORIGIN)
            .then(&Placement::mirroring(mirror, at(3., 4.)))
            .then(&Placement::turning(degrees, at(1., 2.)));
        let (sin, cos) = angle.to_radians().sin_cos();
        let way = change.of(at(cos, -sin)) - change.of(ORIGIN);
        let (sin, cos) = change.of_angle(angle).to_radians().sin_cos();
        proptest::prop_assert!((way.x * sin + way.y * cos).abs() < 1e-9 * (1.0 + across));
        proptest::prop_assert!(way.x * cos - way.y * sin > 0.0);
    }
}
