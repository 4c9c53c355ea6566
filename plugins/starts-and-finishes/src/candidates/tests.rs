use super::*;
use crate::outline::ends;
use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::hiding::area_to_hide;

/// As many level lines as `count`, 10 mm long and 0.05 mm apart, from `x` on.
fn hatch(x: f64, count: u32) -> Object {
    let paths = (0..count).map(|i| {
        let y = f64::from(i) * 0.05;
        Polyline::new([x, x + 10.].map(|x| Coord { x, y }), false)
    });
    let line = geo::LineString::from(vec![(0., 0.), (1., 0.)]);
    let mut object = Object::of_line("hatch", &line, 0.4);
    if let Shape::Lines(lines) = &mut object.shape {
        lines.paths = paths.collect();
    }
    object
}

/// What a region of dots has for an outline: more rings than are looked at.
fn dots(count: u32) -> Object {
    let dots = (0..count).map(|i| {
        let (x, y) = (100. + f64::from(i % 50), f64::from(i / 50));
        polygon![(x: x, y: y), (x: x + 0.5, y: y), (x: x, y: y + 0.5)]
    });
    let big = polygon![
        (x: 30., y: 0.), (x: 50., y: 0.), (x: 50., y: 20.), (x: 30., y: 20.)
    ];
    let all: Vec<geo::Polygon<f64>> = std::iter::once(big).chain(dots).collect();
    Object::of_region("dots", &geo::MultiPolygon(all))
}

fn candidates_of(objects: &[Object]) -> Vec<Candidates> {
    let outlines = objects.iter().map(|one| Outline::of(one, ends(one, 5.0)));
    let outlines: Vec<Outline> = outlines.collect();
    let hides: Vec<_> = objects.iter().map(|one| area_to_hide(one, 1.0)).collect();
    let block: Vec<usize> = (0..objects.len()).collect();
    of(&block, &outlines, &Ground::of(&hides))
}

#[test]
fn of_few_lines_all_ends_are_candidates() {
    let count = MOST_PLACES as u32 / 2;
    let found = candidates_of(&[hatch(0., count), hatch(11., 2)]);
    let ends = (0..count).flat_map(|i| {
        let y = f64::from(i) * 0.05;
        [Coord { x: 0., y }, Coord { x: 10., y }]
    });
    let ends: Vec<Coord<f64>> = ends.collect();
    assert_eq!((&found[0].starts, &found[0].finishes), (&ends, &ends));
}

#[test]
fn of_many_lines_the_ends_nearest_to_the_neighbour_are_candidates() {
    let found = candidates_of(&[hatch(0., 2000), hatch(11., 2000), dots(2000)]);
    for own in &found {
        // Of a fill, besides, the middles of what lies at later objects.
        let most = MOST_PLACES + MOST_STRETCHES;
        assert!(own.starts.len() <= most && own.finishes.len() <= most);
    }
    assert_eq!(found[0].finishes.len(), MOST_PLACES);
    let all_lie_at = |places: &[Coord<f64>], x: f64| places.iter().all(|place| place.x == x);
    assert!(all_lie_at(&found[0].finishes, 10.));
    assert!(all_lie_at(&found[1].starts, 11.));
    assert!(all_lie_at(&found[1].finishes, 21.));
    assert!(all_lie_at(&found[2].starts, 30.));
}
