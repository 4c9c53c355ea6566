//! Edges are sewn without notches: where rows of one part meet those of the next, and where travel ends.

use crate::measures::{from_segment, inside, moves};
use crate::shapes::*;
use hoopwright_region_fill::RegionFill;
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Coord, MultiPolygon, Polygon};

/// A plate of 24 by 16 mm with two round holes.
fn plate() -> MultiPolygon<f64> {
    [(8.0, 6.0), (16.0, 10.0)]
        .into_iter()
        .fold(rectangle(24.0, 16.0), |left, (x, y)| {
            let hole = Polygon::new(circle(x, y, 2.5), vec![]);
            clean(&difference(&left, &clean(&hole.into())))
        })
}

/// Places along the straight edges of `area`, and as far inside as `depth`, 0.05 mm apart.
fn beside_edges(area: &MultiPolygon<f64>, depth: f64) -> Vec<Coord<f64>> {
    let mut places = Vec::new();
    for edge in area.iter().flat_map(|polygon| polygon.exterior().lines()) {
        let way = edge.delta();
        let long = way.x.hypot(way.y);
        let aside = Coord {
            x: -way.y,
            y: way.x,
        } * (depth / long);
        let steps = (long / 0.05) as usize;
        let along = (0..steps).map(|i| edge.start + way * (i as f64 / steps as f64));
        places.extend(
            along
                .flat_map(|at| [at + aside, at - aside])
                .filter(|&at| inside(at, area)),
        );
    }
    places
}

/// A thread lies 0.4 mm wide (40 weight). Rows that meet an edge at 30 degrees leave it bare between two
/// turns, but less than 0.3 mm deep. Rows end short of an edge also beside travel that must not leave the region.
#[test]
fn no_row_is_missing_at_an_edge() {
    let area = plate();
    let places = beside_edges(&area, 0.3);
    let (mut bare, mut all) = (0, 0);
    for angle in [30.0, 45.0, 60.0, 120.0, 135.0, 150.0] {
        for finish in [
            None,
            Some((0.0, 0.0)),
            Some((24.0, 8.0)),
            Some((12.0, 16.0)),
        ] {
            let settings = RegionFill {
                density: 0.45,
                angle: Some(angle),
                pull_compensation: 0.1,
                underlay_inset: 0.8,
                spare_edges: true,
                ..RegionFill::default()
            };
            let mut object = hoopwright_sdk::Object::of_region("owl", &area);
            object.sewing.finish = finish.map(|(x, y)| Coord { x, y }.into());
            let (object, _) = sew(object, &settings);
            let stitches: Vec<_> = hoopwright_sdk::stitches_of(&object.stitches).collect();
            let threads = moves(&stitches);
            let hidden = |at: Coord<f64>| {
                let mut near = threads.iter();
                near.any(|thread| from_segment(at, thread.from, thread.to) <= 0.2)
            };
            bare += places.iter().filter(|&&at| !hidden(at)).count();
            all += places.len();
        }
    }
    assert!(bare * 150 < all, "{bare} of {all} places are bare");
}
