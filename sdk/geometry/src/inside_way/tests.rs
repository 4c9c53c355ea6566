use super::*;
use crate::{area, offset};
use geo::{LineString, Polygon, polygon};
use proptest::prelude::*;

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

fn ring(radius: f64, corners: usize) -> LineString<f64> {
    (0..corners)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / corners as f64;
            at(radius * angle.cos(), radius * angle.sin())
        })
        .collect()
}

fn length(way: &[Coord<f64>]) -> f64 {
    way.windows(2).map(|step| distance(step[0], step[1])).sum()
}

fn square_with_square_hole() -> MultiPolygon<f64> {
    polygon!(
        exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
        interiors: [[(x: 8., y: 8.), (x: 12., y: 8.), (x: 12., y: 12.), (x: 8., y: 12.)]],
    )
    .into()
}

#[test]
fn around_a_square_hole() {
    let ways = InsideWays::new(&square_with_square_hole());
    let way = ways
        .shortest(at(5., 9.), at(15., 9.), 100.0)
        .expect("there is a way");
    // Over the two upper corners: sqrt(10) + 4 + sqrt(10).
    assert_eq!(way.len(), 4, "{way:?}");
    assert!((length(&way) - (4.0 + 2.0 * 10f64.sqrt())).abs() < 1e-9);
    let straight = ways
        .shortest(at(5., 5.), at(15., 5.), 100.0)
        .expect("there is a way");
    assert_eq!(straight, [at(5., 5.), at(15., 5.)]);
    // Along the hole's edge is inside, through the hole is not.
    let along = ways
        .shortest(at(8., 8.), at(12., 8.), 100.0)
        .expect("there is a way");
    assert_eq!(along.len(), 2);
    let across = ways
        .shortest(at(8., 8.), at(12., 12.), 100.0)
        .expect("there is a way");
    assert!((length(&across) - 8.0).abs() < 1e-9);
    assert_eq!(ways.shortest(at(5., 9.), at(15., 9.), 10.2), None);
    assert_eq!(ways.shortest(at(5., 9.), at(10., 10.), 100.0), None);
}

#[test]
fn around_the_corner_of_an_l() {
    let l = polygon![
        (x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 4.), (x: 4., y: 4.), (x: 4., y: 10.), (x: 0., y: 10.)
    ];
    let ways = InsideWays::new(&l.into());
    let way = ways
        .shortest(at(9., 3.), at(3., 9.), 100.0)
        .expect("there is a way");
    assert_eq!(way, [at(9., 3.), at(4., 4.), at(3., 9.)]);
}

/// Two tangents and the arc between them: for places 10 mm off the middle of a hole of radius r,
/// opposite each other, 2 sqrt(100 - r²) + r (pi - 2 acos(r / 10)).
#[test]
fn around_a_round_hole_it_is_as_long_as_tangents_and_arc() {
    for radius in [1.0f64, 3.0, 5.0, 9.0] {
        for corners in [36, 200, 1500] {
            let outer = ring(12.0, 90);
            let area: MultiPolygon<f64> = Polygon::new(outer, vec![ring(radius, corners)]).into();
            let ways = InsideWays::new(&area);
            let way = ways
                .shortest(at(-10., 0.), at(10., 0.), 100.0)
                .expect("there is a way");
            let exact = 2.0 * (100.0 - radius * radius).sqrt()
                + radius * (std::f64::consts::PI - 2.0 * (radius / 10.0).acos());
            let found = length(&way);
            assert!(
                (found - exact).abs() < 0.01 * exact,
                "{radius} {corners}: {found} for {exact}"
            );
            assert!(
                ways.coarse.corners.len() <= 50,
                "{}",
                ways.coarse.corners.len()
            );
        }
    }
}

#[test]
fn there_is_no_way_between_two_parts() {
    let mut two = square_with_square_hole();
    two.0.extend(polygon_at(30.0));
    let ways = InsideWays::new(&two);
    assert_eq!(ways.shortest(at(5., 5.), at(35., 5.), 1000.0), None);
    assert!(ways.contains(at(35., 5.)) && !ways.contains(at(25., 5.)));
    let entries = ways.entries(at(25., 5.), 6.0);
    assert_eq!(entries.len(), 2);
    assert!(
        entries
            .iter()
            .all(|entry| distance(entry.at, at(25., 5.)) == 5.0)
    );
    assert_eq!(ways.entries(at(25., 5.), 4.9), []);
    assert_eq!(ways.entries(at(5., 5.), 0.1)[0].at, at(5., 5.));
}

/// The bottom of the notch lies where two of the three rows of the grid meet.
#[test]
fn a_level_edge_on_the_border_of_two_rows_is_an_edge_all_along() {
    let notched = polygon![
        (x: 0., y: 0.), (x: 0., y: 12.), (x: 2., y: 12.), (x: 2., y: 4.),
        (x: 10., y: 4.), (x: 10., y: 12.), (x: 12., y: 12.), (x: 12., y: 0.),
    ];
    let ways = InsideWays::new(&notched.into());
    for x in [3.0, 4.5, 6.0, 7.5, 9.0] {
        assert!(ways.contains(at(x, 4.0)), "{x}");
        assert_eq!(ways.entries(at(x, 4.2), 0.5).len(), 1, "{x}");
        assert_eq!(ways.entries(at(x, 4.7), 0.5).len(), 0, "{x}");
    }
    assert_eq!(ways.shortest(at(6.0, 2.0), at(6.0, 10.0), 100.0), None);
}

fn polygon_at(x: f64) -> Option<Polygon<f64>> {
    Some(polygon![(x: x, y: 0.), (x: x + 10., y: 0.), (x: x + 10., y: 10.), (x: x, y: 10.)])
}

#[test]
fn what_has_no_area_has_no_way() {
    for area in [
        MultiPolygon::new(Vec::new()),
        polygon![(x: 0., y: 0.), (x: 5., y: 0.)].into(),
        polygon![(x: 0., y: 0.), (x: f64::NAN, y: 0.), (x: 3., y: 3.)].into(),
    ] {
        let ways = InsideWays::new(&area);
        assert!(ways.is_empty());
        assert_eq!(ways.shortest(at(0., 0.), at(1., 0.), 9.0), None);
        assert_eq!(ways.entries(at(0., 0.), 9.0), []);
    }
    let ways = InsideWays::new(&square_with_square_hole());
    for bad in [f64::NAN, f64::INFINITY, -1e300] {
        assert_eq!(ways.shortest(at(bad, 0.), at(1., 1.), 9.0), None);
        assert_eq!(ways.shortest(at(2., 2.), at(1., 1.), f64::NAN), None);
        assert_eq!(ways.entries(at(bad, 0.), 1.0), []);
    }
}

fn boxes() -> impl Strategy<Value = MultiPolygon<f64>> {
    let one = (
        0.0..30.0f64,
        0.0..30.0f64,
        1.0..15.0f64,
        1.0..15.0f64,
        any::<bool>(),
    );
    prop::collection::vec(one, 1..14).prop_map(|boxes| {
        let start = MultiPolygon::new(Vec::new());
        boxes.into_iter().fold(start, |all, (x, y, w, h, cut)| {
            let corners = [(0., 0.), (w, 0.), (w, h), (0., h)];
            let ring = corners.map(|(dx, dy)| at(x + dx, y + dy)).to_vec();
            let one: MultiPolygon<f64> = Polygon::new(ring.into(), Vec::new()).into();
            let one = if cut { offset::grow(&one, 1.0) } else { one };
            if cut {
                area::difference(&all, &offset::grow(&one, -2.0))
            } else {
                area::union(&all, &one)
            }
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn ways_stay_inside_and_are_the_same_both_ways(
        area in boxes(),
        places in prop::collection::vec((0.0..45.0f64, 0.0..45.0f64), 2..6),
    ) {
        let ways = InsideWays::new(&area);
        let grown = offset::grow_with(&area, 1e-3, offset::Corners::Sharp);
        let places: Vec<_> = places.into_iter().map(|(x, y)| at(x, y)).collect();
        for (i, &a) in places.iter().enumerate() {
            for &b in &places[i + 1..] {
                let way = ways.shortest(a, b, 1000.0);
                let mut back = ways.shortest(b, a, 1000.0);
                if let Some(back) = &mut back {
                    back.reverse();
                }
                prop_assert_eq!(&way, &back);
                let inside = |place| ways.grid.part_at(place);
                let same_part = inside(a).is_some() && inside(a) == inside(b);
                prop_assert_eq!(way.is_some(), same_part);
                let Some(way) = way else { continue };
                prop_assert!(length(&way) >= distance(a, b) - 1e-9);
                prop_assert_eq!((way[0], way[way.len() - 1]), (a, b));
                let line = LineString::from(way.clone());
                let kept = area::clip_line(&line, &grown);
                let kept: f64 = kept.iter().map(|line| length(&line.0)).sum();
                prop_assert!((kept - length(&way)).abs() < 0.02, "{kept} of {}", length(&way));
                // Every way over one more place is at least as long.
                for &over in &places {
                    if let (Some(one), Some(two)) =
                        (ways.shortest(a, over, 1000.0), ways.shortest(over, b, 1000.0))
                    {
                        prop_assert!(length(&way) <= length(&one) + length(&two) + 0.5);
                    }
                }
            }
        }
    }
}
