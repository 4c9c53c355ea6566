//! The whole step, from a shape to its stitches.

use super::*;
use geo::{LineString, MultiPolygon, polygon};
use geometry::measure::distance;
use hoopwright_sdk::Lines;
use proptest::prelude::*;

fn thread() -> Thread {
    Thread {
        name: "ink".to_owned(),
        code: String::new(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

fn run(object: Object, settings: &LineRun) -> (Object, Vec<Finding>) {
    messages::take();
    let object = line_run(object, &thread(), settings).expect("the step never fails");
    (object, messages::take())
}

fn with_passes(passes: Passes) -> LineRun {
    LineRun {
        passes,
        ..LineRun::default()
    }
}

fn of_paths(paths: &[&[(f64, f64)]]) -> Object {
    let paths = paths
        .iter()
        .map(|path| Polyline::new(path.iter().map(|&(x, y)| Coord { x, y }), false))
        .collect();
    Object::new("whiskers", Shape::Lines(Lines { paths, width: 0.4 }))
}

fn stitches(object: &Object) -> Vec<Stitch> {
    stitches_of(&object.stitches).collect()
}

fn jumps(object: &Object) -> usize {
    stitches(object)
        .iter()
        .filter(|stitch| stitch.kind == StitchKind::Jump)
        .count()
}

/// The thread laid by needle stitches, in mm.
fn sewn(object: &Object) -> f64 {
    needle_steps(object).iter().sum()
}

fn needle_steps(object: &Object) -> Vec<f64> {
    stitches(object)
        .windows(2)
        .filter(|pair| pair.iter().all(|stitch| stitch.kind == StitchKind::Needle))
        .map(|pair| distance(pair[0].at, pair[1].at))
        .collect()
}

fn ellipse(a: f64, b: f64) -> Object {
    let places = (0..720)
        .map(|i| f64::from(i) * 0.5_f64.to_radians())
        .map(|angle| Coord {
            x: a * angle.cos(),
            y: b * angle.sin(),
        });
    let path = Polyline::new(places, true);
    let lines = Lines {
        paths: vec![path],
        width: 0.4,
    };
    Object::new("eye", Shape::Lines(lines))
}

/// Perimeters of ellipses, 4 a E(e), by the complete elliptic integral of the second kind
/// (NIST Digital Library of Mathematical Functions, 19.9.9).
#[test]
fn an_ellipse_takes_as_much_thread_as_its_perimeter() {
    for (a, b, perimeter) in [
        (2.0, 1.0, 9.68844822),
        (5.0, 3.0, 25.52699886),
        (10.0, 5.0, 48.44224110),
    ] {
        for (passes, times) in [
            (Passes::Single, 1.0),
            (Passes::Double, 2.0),
            (Passes::Triple, 3.0),
        ] {
            let settings = LineRun {
                passes,
                stitch_length: 1.5,
                tolerance: 0.02,
                shortest_stitch: 0.3,
                ..LineRun::default()
            };
            let (object, findings) = run(ellipse(a, b), &settings);
            assert!(findings.is_empty());
            let ratio = sewn(&object) / (perimeter * times);
            // Chords are shorter than arcs, by a hundredth at most with this tolerance.
            assert!(
                ratio < 1.0 && ratio > 0.99,
                "{a} x {b}, {passes:?}: {ratio}"
            );
        }
    }
}

#[test]
fn a_closed_line_closes_exactly() {
    let (object, _) = run(ellipse(10.0, 5.0), &LineRun::default());
    let stitches = stitches(&object);
    assert_eq!(stitches[0].at, stitches[stitches.len() - 1].at);
    assert_eq!(jumps(&object), 0);
}

#[test]
fn triple_run_is_three_passes_over_the_same_places() {
    let path: &[(f64, f64)] = &[(0., 0.), (11., 0.), (11., 7.)];
    let (single, _) = run(of_paths(&[path]), &LineRun::default());
    let (triple, _) = run(of_paths(&[path]), &with_passes(Passes::Triple));
    assert!((sewn(&triple) - 3.0 * sewn(&single)).abs() < 1e-9);
    assert_eq!(stitches(&triple).last(), stitches(&single).last());
    let once = stitches(&single);
    for place in stitches(&triple) {
        assert!(once.contains(&place));
    }
}

#[test]
fn double_run_ends_where_it_began() {
    let (object, _) = run(
        of_paths(&[&[(0., 0.), (10., 0.)]]),
        &with_passes(Passes::Double),
    );
    let stitches = stitches(&object);
    assert_eq!(stitches[0].at, stitches[stitches.len() - 1].at);
    assert!((sewn(&object) - 20.0).abs() < 1e-9);
}

#[test]
fn touching_lines_go_on_and_others_get_one_jump() {
    let object = of_paths(&[
        &[(10., 0.), (20., 0.)],
        &[(0., 0.), (9.9, 0.)],
        &[(25., 0.), (40., 0.)],
    ]);
    for passes in [Passes::Single, Passes::Double, Passes::Triple] {
        let (object, _) = run(object.clone(), &with_passes(passes));
        assert_eq!(jumps(&object), 1, "{passes:?}");
        let all = stitches(&object);
        assert_eq!(all[0].kind, StitchKind::Needle);
        let jump = all
            .iter()
            .position(|stitch| stitch.kind == StitchKind::Jump);
        let jump = jump.expect("there is one");
        assert_eq!(all[jump].at, all[jump + 1].at);
        assert_eq!(all[jump + 1].kind, StitchKind::Needle);
    }
}

#[test]
fn a_region_is_sewn_along_its_edges_with_an_inset() {
    let area: MultiPolygon<f64> = polygon!(
        exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
        interiors: [[(x: 8., y: 8.), (x: 12., y: 8.), (x: 12., y: 12.), (x: 8., y: 12.)]],
    )
    .into();
    let (object, _) = run(Object::of_region("face", &area), &LineRun::default());
    assert!((sewn(&object) - 96.0).abs() < 0.5, "{}", sewn(&object));
    assert_eq!(jumps(&object), 1);
    let inset = LineRun {
        inset: 1.0,
        ..LineRun::default()
    };
    let (object, _) = run(Object::of_region("face", &area), &inset);
    // The outer edge shrinks by 8 mm; the hole's grows by a circle of radius 1 (Steiner).
    let expected = 72.0 + 16.0 + 2.0 * std::f64::consts::PI;
    assert!((sewn(&object) - expected).abs() < 1.0, "{}", sewn(&object));
}

/// An edge drawn outward by 6 mm closes a hole of 10 mm.
#[test]
fn a_hole_that_an_outward_edge_closes_is_reported() {
    let box_of = |x: f64, side: f64| {
        let corners = [(x, x), (x + side, x), (x + side, x + side), (x, x + side)];
        LineString::from(corners.to_vec())
    };
    let frame = geo::Polygon::new(box_of(0.0, 40.0), vec![box_of(15.0, 10.0)]);
    let outward = |inset: f64| {
        let settings = LineRun {
            inset,
            ..LineRun::default()
        };
        run(Object::of_region("frame", &frame.clone().into()), &settings).1
    };
    assert!(outward(-4.0).is_empty());
    let findings = outward(-6.0);
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert!(
        findings[0].message.contains("narrower than 12 mm"),
        "{findings:?}"
    );
}

#[test]
fn a_region_too_narrow_for_its_inset_is_reported() {
    let area: MultiPolygon<f64> =
        polygon![(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 1.), (x: 0., y: 1.)].into();
    let inset = LineRun {
        inset: 1.0,
        ..LineRun::default()
    };
    let (object, findings) = run(Object::of_region("claw", &area), &inset);
    assert!(object.stitches.is_empty());
    assert!(findings.iter().any(|f| f.message.contains("too narrow")));
    assert!(findings.iter().all(|f| f.object.as_deref() == Some("claw")));
}

#[test]
fn a_short_line_gets_one_stitch_and_a_tiny_one_a_finding() {
    let (object, findings) = run(of_paths(&[&[(0., 0.), (0.5, 0.)]]), &LineRun::default());
    assert_eq!(stitches(&object).len(), 2);
    assert!(findings.is_empty());
    let (object, findings) = run(of_paths(&[&[(0., 0.), (0.2, 0.)]]), &LineRun::default());
    assert!(object.stitches.is_empty());
    assert_eq!(findings.len(), 1);
    let both = of_paths(&[&[(0., 0.), (0.2, 0.)], &[(3., 0.), (9., 0.)]]);
    let (object, findings) = run(both, &LineRun::default());
    assert!((sewn(&object) - 6.0).abs() < 1e-9);
    assert_eq!(findings.len(), 1);
}

#[test]
fn stitches_are_replaced_or_added_to() {
    let (once, _) = run(of_paths(&[&[(0., 0.), (10., 0.)]]), &LineRun::default());
    let (again, _) = run(once.clone(), &LineRun::default());
    assert_eq!(once, again);
    let add = LineRun {
        add: true,
        ..LineRun::default()
    };
    let (added, _) = run(once.clone(), &add);
    assert!(
        (sewn(&added) - 20.0).abs() < 1e-9,
        "back from where it ended"
    );
    assert_eq!(jumps(&added), 0);
}

/// Added to what is there: no stitch under 0.3 mm, a stitch of travel up to 1 mm, then a jump.
#[test]
fn an_added_run_begins_where_the_stitches_end() {
    let add = LineRun {
        add: true,
        ..LineRun::default()
    };
    for (away, jumped, travelled) in [
        (0.0, 0, 0),
        (0.2, 0, 0),
        (0.4, 0, 1),
        (0.9, 0, 1),
        (1.1, 1, 0),
    ] {
        let mut object = of_paths(&[&[(0., 0.), (10., 0.)]]);
        let mut there = StitchList::new();
        for y in [3.0, away] {
            there.needle(StitchRole::Underlay, Coord { x: 0.0, y });
        }
        object.stitches = there.into_blocks();
        let (object, _) = run(object, &add);
        assert_eq!(jumps(&object), jumped, "{away}");
        let all = stitches(&object);
        let travel = |s: &&Stitch| s.kind == StitchKind::Needle && s.role == StitchRole::Travel;
        assert_eq!(all.iter().filter(travel).count(), travelled, "{away}");
        assert!(needle_steps(&object).iter().all(|&step| step >= 0.3));
        assert_eq!(all.last().map(|s| s.at), Some(Coord { x: 10.0, y: 0.0 }));
    }
}

#[test]
fn the_objects_own_sewing_wins() {
    let mut object = of_paths(&[&[(0., 0.), (12., 0.)]]);
    object.sewing.stitch_length = Some(4.0);
    object.sewing.start = Some(Point { x: 12., y: 3. });
    let (object, _) = run(object, &LineRun::default());
    let xs: Vec<f64> = stitches(&object).iter().map(|stitch| stitch.at.x).collect();
    assert_eq!(xs, [12., 8., 4., 0.]);
}

#[test]
fn manual_stitches_stay_with_a_finding() {
    let mut object = Object::new("signature", Shape::Manual);
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, Coord { x: 1., y: 1. });
    object.stitches = list.into_blocks();
    let (after, findings) = run(object.clone(), &LineRun::default());
    assert_eq!(after, object);
    assert_eq!(findings[0].object.as_deref(), Some("signature"));
}

#[test]
fn degenerate_shapes_give_findings() {
    let nan: &[(f64, f64)] = &[(f64::NAN, 0.), (0., f64::INFINITY)];
    let huge: &[(f64, f64)] = &[(0., 0.), (1e12, 0.)];
    let empty: &[(f64, f64)] = &[];
    for path in [nan, huge, empty, &[(1., 1.)], &[(1., 1.), (1., 1.)]] {
        let (object, findings) = run(of_paths(&[path]), &LineRun::default());
        assert!(object.stitches.is_empty());
        assert_eq!(findings.len(), 1, "{path:?}");
    }
    let (_, findings) = run(of_paths(&[]), &LineRun::default());
    assert_eq!(findings.len(), 1);
    let nothing = MultiPolygon::new(Vec::new());
    let (_, findings) = run(Object::of_region("none", &nothing), &LineRun::default());
    assert_eq!(findings.len(), 1);
}

#[test]
fn the_schema_says_what_the_settings_mean() {
    let description = description();
    assert_eq!(description.name, "line-run");
    for word in [
        "stitch-length",
        "inset",
        "\"mm\"",
        "triple",
        "there and back",
    ] {
        assert!(description.settings_schema.contains(word), "{word}");
    }
}

proptest! {
    /// The machine's limits, from common practice: no stitch over 12 mm, none under 0.3 mm.
    #[test]
    fn stitches_keep_the_machines_limits(
        paths in prop::collection::vec(
            prop::collection::vec((-20.0..20.0f64, -20.0..20.0f64), 0..12), 1..6),
        stitch_length in 0.5..12.0f64,
        passes in prop::sample::select(vec![Passes::Single, Passes::Double, Passes::Triple]),
        closed in any::<bool>(),
        scale in 0.01..2.0f64,
    ) {
        let paths = paths
            .into_iter()
            .map(|path| path.into_iter().map(|(x, y)| Coord { x: x * scale, y: y * scale }))
            .map(|path| Polyline::new(path, closed))
            .collect();
        let object = Object::new("tangle", Shape::Lines(Lines { paths, width: 0.0 }));
        let settings = LineRun { passes, stitch_length, ..LineRun::default() };
        let (object, _) = run(object, &settings);
        let all = stitches(&object);
        for pair in all.windows(2) {
            if pair[1].kind == StitchKind::Needle {
                let step = distance(pair[0].at, pair[1].at);
                if pair[0].kind == StitchKind::Jump {
                    prop_assert_eq!(step, 0.0);
                } else {
                    prop_assert!((0.2999..=12.0).contains(&step), "{}", step);
                }
            }
        }
        let line = LineString::from_iter(all.iter().map(|stitch| stitch.at));
        prop_assert!(line.0.iter().all(|place| place.x.is_finite() && place.y.is_finite()));
    }
}
