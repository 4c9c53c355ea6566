//! Shapes that nothing, or little, can be made of: stitches or a finding that names the object.

use super::shapes::{ellipse, rectangle, region, ring_of};
use super::{moves, sew};
use crate::SatinColumn;
use geo::{LineString, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

fn check(object: Object) {
    let id = object.id.clone();
    let (stitches, findings) = sew(object, &SatinColumn::default());
    assert!(
        !stitches.is_empty() || findings.iter().any(|f| f.object.as_deref() == Some(&id)),
        "{id}: nothing said"
    );
    assert!(
        stitches
            .iter()
            .all(|s| s.at.x.is_finite() && s.at.y.is_finite())
    );
    for (a, b) in moves(&stitches) {
        let length = distance(a.at, b.at);
        assert!(
            length > 0.29 && length < 11.01,
            "{id}: a stitch of {length}"
        );
    }
}

/// The light in an eye: no stitch fits in it, but a thread is as wide as it is.
#[test]
fn what_is_as_small_as_a_thread_is_wide_becomes_a_dot() {
    let dot = |radius: f64| {
        let area = region([ellipse(5.0, 5.0, radius, radius)]);
        sew(Object::of_region("light", &area), &SatinColumn::default())
    };
    let (stitches, _) = dot(0.2);
    let stitch = |pair: &[Stitch]| distance(pair[0].at, pair[1].at);
    let lengths: Vec<f64> = stitches.windows(2).map(stitch).collect();
    assert_eq!(lengths.len(), 2);
    assert!(lengths.iter().all(|length| (length - 0.5).abs() < 1e-9));
    let middle = Coord { x: 5.0, y: 5.0 };
    assert!(
        stitches
            .iter()
            .all(|s| distance(s.at, middle) < 0.3 && s.role == StitchRole::Cover)
    );
    // Two lights in one object: a jump leads to where the second begins.
    let area = region([ellipse(5.0, 5.0, 0.2, 0.2), ellipse(9.0, 5.0, 0.2, 0.2)]);
    let (both, _) = sew(Object::of_region("lights", &area), &SatinColumn::default());
    assert_eq!(both.len(), 7);
    assert_eq!((both[3].kind, both[3].at), (StitchKind::Jump, both[4].at));
    // 0.03 mm2: the needle's own hole is fifteen times as large.
    let (stitches, findings) = dot(0.1);
    assert!(stitches.is_empty());
    assert_eq!(findings.len(), 1);
}

#[test]
fn odd_regions() {
    let raw = |corners: &[(f64, f64)]| {
        MultiPolygon::from(Polygon::new(LineString::from(corners.to_vec()), vec![]))
    };
    let holes_touch = Polygon::new(
        rectangle(10.0, 10.0).0[0].exterior().clone(),
        vec![
            LineString::from(vec![(0., 5.), (3., 3.), (5., 5.), (3., 7.), (0., 5.)]),
            LineString::from(vec![(5., 5.), (8., 3.), (10., 5.), (8., 7.), (5., 5.)]),
        ],
    );
    for (name, area) in [
        ("nothing", MultiPolygon::new(vec![])),
        ("no area", raw(&[(0., 0.), (10., 0.), (20., 0.)])),
        ("one corner", raw(&[(1., 1.)])),
        ("not a number", raw(&[(0., 0.), (10., f64::NAN), (20., 5.)])),
        ("endless", raw(&[(0., 0.), (f64::INFINITY, 3.), (20., 5.)])),
        (
            "bow tie",
            raw(&[(0., 0.), (10., 10.), (10., 0.), (0., 10.)]),
        ),
        ("sliver", raw(&[(0., 0.), (30., 0.01), (30., 0.)])),
        ("hair", rectangle(40.0, 0.02)),
        ("speck", rectangle(0.05, 0.05)),
        ("crumb", rectangle(0.6, 0.4)),
        (
            "repeated",
            raw(&[
                (0., 0.),
                (0., 0.),
                (20., 0.),
                (20., 0.),
                (20., 3.),
                (0., 3.),
                (0., 3.),
            ]),
        ),
        (
            "spike",
            raw(&[
                (0., 0.),
                (20., 0.),
                (20., 3.),
                (10., 3.),
                (10., 30.),
                (10., 3.),
                (0., 3.),
            ]),
        ),
        ("holes that touch", holes_touch.into()),
        ("large", rectangle(300.0, 200.0)),
        (
            "disc with a pin hole",
            region([ellipse(0., 0., 8., 8.), ellipse(0.5, 0., 0.1, 0.1)]),
        ),
        (
            "hole at the edge",
            region([ellipse(0., 0., 8., 8.), ellipse(4.0, 0., 3.98, 3.0)]),
        ),
        (
            "comb",
            region([ring_of(
                (0..80)
                    .map(|i| (f64::from(i) * 0.5, if i % 2 == 0 { 0.0 } else { 6.0 }))
                    .chain([(40., -4.), (0., -4.)]),
            )]),
        ),
    ] {
        check(Object::of_region(name, &area));
    }
}

#[test]
fn odd_lines() {
    let line = |corners: &[(f64, f64)]| LineString::from(corners.to_vec());
    for (name, line, width) in [
        ("no width", line(&[(0., 0.), (20., 0.)]), 0.0),
        ("no length", line(&[(3., 3.), (3., 3.)]), 2.0),
        ("one place", line(&[(3., 3.)]), 2.0),
        ("no place", line(&[]), 2.0),
        ("not a number", line(&[(0., 0.), (f64::NAN, 1.)]), 2.0),
        (
            "there and back",
            line(&[(0., 0.), (20., 0.), (0., 0.)]),
            2.0,
        ),
        (
            "closed there and back",
            line(&[(0., 0.), (20., 0.), (10., 0.), (0., 0.)]),
            2.0,
        ),
        ("wider than long", line(&[(0., 0.), (1., 0.)]), 8.0),
        (
            "tiny turns",
            LineString::from(
                (0..200)
                    .map(|i| (f64::from(i) * 0.02, f64::from(i % 2) * 0.05))
                    .collect::<Vec<_>>(),
            ),
            3.0,
        ),
        (
            "zigzag wider than its pitch",
            LineString::from(
                (0..40)
                    .map(|i| (f64::from(i), f64::from(i % 2) * 5.0))
                    .collect::<Vec<_>>(),
            ),
            4.0,
        ),
        (
            "figure of eight",
            LineString::from(
                (0..=60)
                    .map(|i| f64::from(i) / 60.0 * std::f64::consts::TAU)
                    .map(|t| (10.0 * t.sin(), 6.0 * (2.0 * t).sin()))
                    .collect::<Vec<_>>(),
            ),
            3.0,
        ),
        ("hair", line(&[(0., 0.), (20., 0.)]), 0.1),
        ("very wide", line(&[(0., 0.), (20., 0.)]), 60.0),
        ("small ring", ellipse(0., 0., 0.8, 0.8), 1.5),
    ] {
        check(Object::of_line(name, &line, width));
    }
}

#[test]
fn an_object_without_a_shape_comes_back_as_it_was() {
    let object = Object::new("hand-made", Shape::Manual);
    let (stitches, findings) = sew(object, &SatinColumn::default());
    assert!(stitches.is_empty());
    assert_eq!(findings[0].object.as_deref(), Some("hand-made"));
}
