use super::*;
use geo::{Contains, Distance, Euclidean, Intersects, Line, Point, polygon};
use proptest::prelude::*;

fn triangle([x, y, size]: [f64; 3]) -> MultiPolygon<f64> {
    polygon![(x: x, y: y), (x: x + size, y: y + 0.3 * size), (x: x + 0.2 * size, y: y + size)]
        .into()
}

fn ring(side: f64) -> MultiPolygon<f64> {
    polygon!(
        exterior: [(x: 0., y: 0.), (x: side, y: 0.), (x: side, y: side), (x: 0., y: side)],
        interiors: [[(x: 4., y: 4.), (x: side - 4., y: 4.), (x: side - 4., y: side - 4.), (x: 4., y: side - 4.)]],
    )
    .into()
}

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

proptest! {
    /// `geo` measures the same by its own algorithm.
    #[test]
    fn what_meets_is_what_a_general_geometry_library_finds(
        a in [0.0..20.0f64, 0.0..20.0, 0.5..12.0],
        b in [0.0..20.0f64, 0.0..20.0, 0.5..12.0],
        place in [-2.0..25.0f64, -2.0..25.0],
        reach in 0.01..3.0f64,
    ) {
        let (a, b) = (triangle(a), triangle(b));
        let (first, second) = (EdgeGrid::new(&a), EdgeGrid::new(&b));
        let apart = Euclidean.distance(&a, &b);
        let gap = first.gap(&second, reach);
        prop_assert!((gap - apart).abs() < 1e-9, "{gap} {apart}");
        prop_assume!((apart - reach).abs() > 1e-6);
        prop_assert_eq!(first.meets(&second, reach), apart <= reach);
        prop_assert_eq!(second.meets(&first, reach), apart <= reach);
        let place = at(place[0], place[1]);
        let away = Euclidean.distance(&a, &Point(place));
        prop_assert!((first.gap_to(place) - away).abs() < 1e-9);
        prop_assume!((away - reach).abs() > 1e-6 && away != 0.0 || a.contains(&Point(place)));
        prop_assert_eq!(first.reaches(place, reach), away <= reach);
        prop_assert_eq!(first.contains(place), a.contains(&Point(place)));
    }

    /// All edges that a way meets, by `geo`'s own test of each, lie near it.
    #[test]
    fn what_a_way_meets_lies_near_it(
        [x, y, to_x, to_y] in [-2.0..25.0f64, -2.0..25.0, -2.0..25.0, -2.0..25.0],
        turn in 0.0..90.0f64,
    ) {
        use geo::{LinesIter, Rotate};
        let ring = ring(20.0).rotate_around_point(turn, Point::new(10.0, 10.0));
        let near = EdgeGrid::new(&ring).edges_near([at(x, y), at(to_x, to_y)]);
        let way = Line::new(at(x, y), at(to_x, to_y));
        for edge in ring.lines_iter().filter(|edge| edge.intersects(&way)) {
            prop_assert!(near.contains(&[edge.start, edge.end]));
        }
    }
}

#[test]
fn what_lies_in_a_hole_is_apart_and_what_lies_in_the_area_is_not() {
    let ring = EdgeGrid::new(&ring(20.0));
    let in_hole = EdgeGrid::new(&triangle([8.0, 8.0, 3.0]));
    assert!(!ring.meets(&in_hole, 3.9) && ring.meets(&in_hole, 4.01));
    assert!((ring.gap(&in_hole, 5.0) - 4.0).abs() < 1e-9);
    let inside = EdgeGrid::new(&triangle([1.0, 1.0, 1.0]));
    assert!(ring.meets(&inside, 0.0) && inside.meets(&ring, 0.0));
    assert_eq!((ring.gap(&inside, 5.0), inside.gap(&ring, 5.0)), (0.0, 0.0));
    assert!(ring.reaches(at(2.0, 10.0), 0.0) && ring.contains(at(2.0, 10.0)));
    assert!(!ring.reaches(at(10.0, 10.0), 5.9) && !ring.contains(at(10.0, 10.0)));
    assert_eq!(
        (ring.gap_to(at(2.0, 9.0)), ring.gap_to(at(10.0, 10.0))),
        (0.0, 6.0)
    );
}

#[test]
fn each_edge_near_a_way_comes_once() {
    let ring = EdgeGrid::new(&ring(20.0));
    assert_eq!(ring.edges_near([at(-5., -5.), at(25., 25.)]).len(), 8);
    // The upright rectangle of a way that leads over the corner of the ring meets two of its edges.
    assert_eq!(
        ring.edges_near([at(3., -1.), at(-1., 3.)]),
        [[at(0., 0.), at(20., 0.)], [at(0., 20.), at(0., 0.)]]
    );
    assert!(ring.edges_near([at(1., 1.), at(2., 3.)]).is_empty());
}

#[test]
fn nothing_meets_nothing() {
    let (nothing, some) = (
        EdgeGrid::new(&MultiPolygon::new(Vec::new())),
        EdgeGrid::new(&ring(20.0)),
    );
    assert!(
        !nothing.meets(&some, 5.0) && !some.meets(&nothing, 5.0) && !nothing.meets(&nothing, 5.0)
    );
    assert!(!nothing.reaches(at(0., 0.), 1.0) && !nothing.contains(at(0., 0.)));
    assert_eq!(nothing.gap(&some, 1.0), f64::INFINITY);
    assert_eq!(nothing.gap_to(at(0., 0.)), f64::INFINITY);
    assert_eq!(
        (nothing.bounds(), nothing.edges_near([at(0., 0.); 2]).len()),
        (None, 0)
    );
}

#[test]
fn a_way_is_stopped_by_the_first_edge() {
    let ring = EdgeGrid::new(&ring(10.0));
    assert_eq!(ring.first_meeting(at(2., 5.), at(12., 5.)), Some(0.2));
    assert_eq!(ring.first_meeting(at(1., 1.), at(9., 3.)), None);
    assert_eq!(ring.first_meeting(at(8., 5.), at(12., 5.)), Some(0.5));
}

/// Against geo's own test, on the nodes of a fine grid, of which no edge passes one.
#[test]
fn it_knows_what_lies_inside() {
    let star = (0..14).map(|i| {
        let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 14.0).sin_cos();
        at(1., 2.) + at(cos, sin) * if i % 2 == 0 { 20. } else { 6. }
    });
    let hole = [(-1., 0.), (3., 1.), (0.5, 4.), (0.2, 1.5)].map(|(x, y)| at(x, y));
    let star = geo::Polygon::new(star.collect(), vec![hole.to_vec().into()]);
    let edges = EdgeGrid::new(&star.clone().into());
    for column in -70..70 {
        for row in -70..70 {
            let place = at(
                0.331 * f64::from(column) + 0.017,
                0.331 * f64::from(row) + 0.019,
            );
            let inside = star.contains(&Point(place));
            assert_eq!(edges.contains(place), inside, "{place:?}");
        }
    }
    assert!(edges.edge_lies_within(at(21.05, 2.), 0.06));
    assert!(!edges.edge_lies_within(at(21.05, 2.), 0.04));
}
