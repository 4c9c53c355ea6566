//! Families of random regions: what satin meets in practice, and worse.

use super::shapes::{ellipse, region, ring_of};
use geo::{LineString, MultiPolygon};
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;
use std::f64::consts::TAU;

fn star_shaped(radii: Vec<f64>) -> LineString<f64> {
    let count = radii.len() as f64;
    ring_of(radii.into_iter().enumerate().map(|(i, r)| {
        let t = i as f64 / count * TAU;
        (r * t.cos(), r * t.sin())
    }))
}

/// Spiky blobs with many holes; holes that overlap make islands and parts that meet in a place.
pub fn spiky_blobs() -> BoxedStrategy<MultiPolygon<f64>> {
    let radii = prop::collection::vec(3.0..18.0f64, 12..36);
    let hole = (-6.0..6.0f64, -6.0..6.0f64, 0.3..2.0f64, 0.3..2.0f64);
    (radii, prop::collection::vec(hole, 0..5))
        .prop_map(|(radii, holes)| {
            let holes = holes.into_iter().map(|(x, y, a, b)| ellipse(x, y, a, b));
            region(std::iter::once(star_shaped(radii)).chain(holes))
        })
        .boxed()
}

/// Bars joined end to end or end to side, with square or round ends: like letters and forks.
pub fn letters() -> BoxedStrategy<MultiPolygon<f64>> {
    let bar = (0.0..1.0f64, 0.0..TAU, 6.0..20.0f64, prop::bool::ANY);
    (
        prop::collection::vec(bar, 2..6),
        1.5..5.0f64,
        prop::bool::ANY,
    )
        .prop_map(|(bars, width, round)| {
            let mut area = MultiPolygon::new(Vec::new());
            let mut last = (Coord::zero(), Coord::zero());
            for (share, angle, length, at_end) in bars {
                let share = if at_end { 1.0 } else { share };
                let from = last.0 + (last.1 - last.0) * share;
                let way = Coord {
                    x: angle.cos(),
                    y: angle.sin(),
                };
                let to = from + way * length;
                let normal = Coord {
                    x: -way.y,
                    y: way.x,
                } * (width / 2.0);
                let bar = if round {
                    geometry::offset::stroke(&LineString::from(vec![from, to]), width)
                } else {
                    let from = from - way * (width / 2.0);
                    let corners = [from + normal, to + normal, to - normal, from - normal];
                    region([ring_of(corners.map(|c| (c.x, c.y)))])
                };
                area = geometry::area::union(&area, &bar);
                last = (from, to);
            }
            area
        })
        .boxed()
}

/// Blunt bars with bays of any depth in their ends and sides.
pub fn bays() -> BoxedStrategy<MultiPolygon<f64>> {
    let bay = (0.0..1.0f64, 0.3..2.5f64, 0.1..4.0f64);
    (6.0..30.0f64, 3.0..9.0f64, prop::collection::vec(bay, 1..5))
        .prop_map(|(length, width, bays)| {
            let bar = region([ring_of([
                (0., 0.),
                (length, 0.),
                (length, width),
                (0., width),
            ])]);
            bays.into_iter().fold(bar, |bar, (at, a, b)| {
                let round = 2.0 * (length + width) * at;
                let (x, y) = match round {
                    r if r < length => (r, 0.0),
                    r if r < length + width => (length, r - length),
                    r if r < 2.0 * length + width => (r - length - width, width),
                    r => (0.0, r - 2.0 * length - width),
                };
                let bay = region([ellipse(x, y, a, b)]);
                geometry::area::difference(&bar, &bay)
            })
        })
        .boxed()
}
