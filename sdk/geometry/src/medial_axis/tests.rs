//! Closed forms of the medial axis, worked out by hand from the definition.

use super::*;
use crate::FillRule;
use crate::area::from_rings;
use geo::{LineString, polygon};
use proptest::prelude::*;
use std::f64::consts::TAU;

/// Keeps the branches into all corners sharper than 150°, which is the whole medial axis of a shape with
/// straight edges.
const CORNERS: Pruning = Pruning {
    least_separation: 30.0,
    least_reach: 0.0,
};

/// The largest half-width in mm.
fn greatest_radius(axis: &MedialAxis) -> f64 {
    let places = axis.branches.iter().flat_map(|branch| &branch.places);
    places.map(|place| place.radius).fold(0.0, f64::max)
}

fn ellipse(cx: f64, cy: f64, a: f64, b: f64, corners: u32) -> LineString<f64> {
    let mut ring: LineString<f64> = (0..corners)
        .map(|i| f64::from(i) / f64::from(corners) * TAU)
        .map(|t| Coord {
            x: cx + a * t.cos(),
            y: cy + b * t.sin(),
        })
        .collect();
    ring.close();
    ring
}

fn region(rings: impl IntoIterator<Item = LineString<f64>>) -> MultiPolygon<f64> {
    from_rings(rings, FillRule::EvenOdd)
}

fn bar(width: f64, height: f64) -> MultiPolygon<f64> {
    polygon![(x: 0., y: 0.), (x: width, y: 0.), (x: width, y: height), (x: 0., y: height)].into()
}

/// Every foot lies on the edge, at the radius from its place, facing its partner squarely.
fn check_feet(axis: &MedialAxis, tolerance: f64) {
    for branch in &axis.branches {
        for place in &branch.places {
            for foot in [place.left, place.right] {
                let ring = &axis.rings[foot.ring];
                assert!(distance(ring.place(foot.along), foot.at) < 1e-6);
                let off = distance(foot.at, place.at) - place.radius;
                assert!(off.abs() < tolerance, "foot {off} off at {:?}", place.at);
            }
        }
    }
}

/// Rectangle W x H: a segment of W - H at half-width H / 2, and four diagonals of H / sqrt(2).
#[test]
fn a_rectangle_has_a_segment_and_four_diagonals() {
    let all = medial_axis(&bar(30.0, 10.0), CORNERS);
    assert_eq!(all.branches.len(), 5);
    assert!((all.length() - 48.284).abs() < 0.05, "{}", all.length());
    assert!((greatest_radius(&all) - 5.0).abs() < 0.01);
    check_feet(&all, 0.1);

    let main = medial_axis(&bar(30.0, 10.0), Pruning::default());
    assert_eq!((main.branches.len(), main.nodes.len()), (1, 2));
    assert!((main.length() - 20.0).abs() < 0.05, "{}", main.length());
    for place in &main.branches[0].places {
        assert!((place.at.y - 5.0).abs() < 0.01 && (place.radius - 5.0).abs() < 0.01);
    }
}

/// Ring of radii 4 and 10: the circle of radius 7 about the same middle, half-width 3.
#[test]
fn a_ring_has_a_circle() {
    let ring = region([
        ellipse(20.0, 20.0, 10.0, 10.0, 256),
        ellipse(20.0, 20.0, 4.0, 4.0, 128),
    ]);
    let axis = medial_axis(&ring, Pruning::default());
    assert_eq!((axis.branches.len(), axis.nodes.len()), (1, 1));
    assert_eq!(axis.nodes[0].ends.len(), 2);
    assert!((axis.length() - TAU * 7.0).abs() < 0.1, "{}", axis.length());
    for place in &axis.branches[0].places {
        let radius = distance(place.at, Coord { x: 20.0, y: 20.0 });
        assert!((radius - 7.0).abs() < 0.02, "{radius}");
        assert!((place.radius - 3.0).abs() < 0.02, "{}", place.radius);
    }
    check_feet(&axis, 0.02);
}

/// Ellipse a, b: |x| <= (a² - b²) / a, r(x) = b sqrt(1 - x² / (a² - b²)).
#[test]
fn an_ellipse_has_the_half_width_of_the_closed_form() {
    let axis = medial_axis(
        &region([ellipse(0.0, 0.0, 10.0, 5.0, 720)]),
        Pruning::default(),
    );
    assert_eq!(axis.branches.len(), 1);
    let places = &axis.branches[0].places;
    let mut reach: f64 = 0.0;
    for place in places {
        let expected = 5.0 * (1.0 - place.at.x.powi(2) / 75.0).sqrt();
        assert!(place.at.y.abs() < 0.05);
        assert!(
            (place.radius - expected).abs() < 0.01,
            "{} {expected}",
            place.radius
        );
        reach = reach.max(place.at.x.abs());
    }
    assert!(reach > 7.3 && reach < 7.6, "{reach}");
    for (x, expected) in [(0.0, 5.0), (3.0, 4.6904), (6.0, 3.6056)] {
        let nearest = places
            .iter()
            .min_by(|a, b| (a.at.x - x).abs().total_cmp(&(b.at.x - x).abs()));
        let radius = nearest.expect("places").radius;
        assert!((radius - expected).abs() < 0.05, "{radius} at {x}");
    }
    check_feet(&axis, 0.01);
}

/// Equilateral triangle of side 6: three branches from the incircle's middle, inradius sqrt(3).
#[test]
fn a_triangle_has_three_branches() {
    let height = 27.0_f64.sqrt();
    let triangle = polygon![(x: 0., y: 0.), (x: 6., y: 0.), (x: 3., y: height)];
    let axis = medial_axis(&triangle.into(), Pruning::default());
    assert_eq!(axis.branches.len(), 3);
    assert!((greatest_radius(&axis) - 3.0_f64.sqrt()).abs() < 0.02);
    assert!(
        (axis.length() - 3.0 * 12.0_f64.sqrt()).abs() < 0.03,
        "{}",
        axis.length()
    );
    let middle = axis
        .nodes
        .iter()
        .find(|node| node.ends.len() == 3)
        .expect("a fork");
    assert!(
        distance(
            middle.at,
            Coord {
                x: 3.0,
                y: height / 3.0
            }
        ) < 0.01
    );
}

#[test]
fn ends_around_a_node_share_their_feet() {
    let t = polygon![
        (x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 4.), (x: 17., y: 4.), (x: 17., y: 20.),
        (x: 13., y: 20.), (x: 13., y: 4.), (x: 0., y: 4.)
    ];
    let axis = medial_axis(&t.into(), Pruning::default());
    assert_eq!(axis.branches.len(), 3);
    let fork = axis
        .nodes
        .iter()
        .find(|node| node.ends.len() == 3)
        .expect("a fork");
    let feet: Vec<(Foot, Foot)> = fork
        .ends
        .iter()
        .map(|end| {
            let places = &axis.branches[end.branch].places;
            let place = if end.last {
                turn(places[places.len() - 1])
            } else {
                places[0]
            };
            (place.left, place.right)
        })
        .collect();
    for i in 0..3 {
        assert!(distance(feet[i].0.at, feet[(i + 1) % 3].1.at) < 1e-9);
    }
}

fn turn(place: AxisPlace) -> AxisPlace {
    AxisPlace {
        left: place.right,
        right: place.left,
        ..place
    }
}

#[test]
fn a_disc_and_a_square_have_a_place_without_branches() {
    for round in [region([ellipse(5.0, 5.0, 5.0, 5.0, 100)]), bar(10.0, 10.0)] {
        let axis = medial_axis(&round, Pruning::default());
        assert_eq!((axis.nodes.len(), axis.branches.len()), (1, 0));
        assert!((axis.nodes[0].radius - 5.0).abs() < 0.02);
        assert!(distance(axis.nodes[0].at, Coord { x: 5.0, y: 5.0 }) < 0.05);
    }
}

#[test]
fn loops_around_holes_are_kept() {
    let holes = [
        ellipse(6.0, 6.0, 2.0, 2.0, 64),
        ellipse(14.0, 6.0, 2.0, 2.0, 64),
    ];
    let area = region(
        holes
            .into_iter()
            .chain([ellipse(10.0, 6.0, 10.0, 6.0, 200)]),
    );
    let axis = medial_axis(&area, Pruning::default());
    // Euler: branches - nodes + 1 loops in one piece.
    assert_eq!(axis.branches.len() + 1 - axis.nodes.len(), 2);
}

#[test]
fn degenerate_regions_do_not_panic() {
    let nothing = MultiPolygon::new(Vec::new());
    assert_eq!(
        medial_axis(&nothing, Pruning::default()),
        MedialAxis::default()
    );
    let shapes: [MultiPolygon<f64>; 4] = [
        polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 20., y: 0.)].into(),
        polygon![(x: 0., y: 0.), (x: 30., y: 0.002), (x: 30., y: 0.)].into(),
        polygon![(x: 0., y: 0.), (x: 10., y: 10.), (x: 10., y: 0.), (x: 0., y: 10.)].into(),
        polygon![(x: 0., y: f64::NAN), (x: 10., y: 10.), (x: 10., y: 0.)].into(),
    ];
    for shape in shapes {
        medial_axis(&shape, Pruning::default());
    }
    // Two holes and the edge meet in shared corners.
    let touching = geo::Polygon::new(
        bar(10.0, 10.0).0[0].exterior().clone(),
        vec![
            LineString::from(vec![(0., 5.), (3., 3.), (5., 5.), (3., 7.), (0., 5.)]),
            LineString::from(vec![(5., 5.), (8., 3.), (10., 5.), (8., 7.), (5., 5.)]),
        ],
    );
    let axis = medial_axis(&touching.into(), Pruning::default());
    assert!(axis.length() > 10.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// All circles of the axis lie inside the region, to a tenth of a millimetre.
    #[test]
    fn circles_touch_the_edge(
        radii in prop::collection::vec(2.0..12.0f64, 5..24),
        hole in 0.2..1.5f64,
    ) {
        let count = radii.len() as f64;
        let blob: LineString<f64> = radii
            .iter()
            .enumerate()
            .map(|(i, r)| {
                let t = i as f64 / count * TAU;
                Coord { x: r * t.cos(), y: r * t.sin() }
            })
            .collect();
        let area = region([blob, ellipse(0.0, 0.0, hole, hole, 24)]);
        let axis = medial_axis(&area, Pruning::default());
        for place in axis.branches.iter().flat_map(|branch| &branch.places) {
            prop_assert!(place.at.x.is_finite() && place.at.y.is_finite());
            let depth = crate::measure::distance_to_edge(place.at, &area);
            prop_assert!((depth - place.radius).abs() < 0.1, "{} {}", depth, place.radius);
        }
    }
}

/// Run with `--ignored` in a release build to measure.
#[test]
#[ignore = "a measurement"]
fn five_thousand_corners() {
    let blob: LineString<f64> = (0..5000)
        .map(|i| {
            let t = f64::from(i) / 5000.0 * TAU;
            let r = 30.0 + 10.0 * (t * 9.0).sin() + 0.05 * (t * 700.0).sin();
            Coord {
                x: r * t.cos(),
                y: r * t.sin(),
            }
        })
        .collect();
    let area = region([blob]);
    let start = std::time::Instant::now();
    let axis = medial_axis(&area, Pruning::default());
    let elapsed = start.elapsed();
    println!("{} branches in {elapsed:?}", axis.branches.len());
    assert!(elapsed.as_secs_f64() < 5.0);
}
