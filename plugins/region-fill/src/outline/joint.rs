//! Two spirals joined where they lie side by side.

use super::near::Near;
use super::splice::Splice;
use super::tree::Edge;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{distance, dot};
use hoopwright_sdk::geometry::measured::Ring;

/// A ring is cut open over this length to each side, in mm, or this share of a shorter ring.
const HALF: f64 = 0.5;
const HALF_SHARE: f64 = 1.0 / 12.0;

/// How far from the middle of the cut the thread turns over to the other ring, as a share of its half.
const TURN: f64 = 0.3;

/// Joints keep this far from one another where they can, in mm.
const APART: f64 = 3.0;

/// A place to join two rings at.
#[derive(Clone, Copy, Debug)]
struct Place {
    outer: f64,
    inner: f64,
    away: f64,
}

/// Joins the lines of two rings: each is cut open, and its ends lead over to the other's.
pub fn join(rings: &[Ring], edge: Edge, pitch: f64, splice: &mut Splice) {
    let (outer, inner) = (&rings[edge.outer], &rings[edge.inner]);
    let half = |ring: &Ring| HALF.min(ring.length() * HALF_SHARE);
    let mut halves = (half(outer), half(inner));
    let found = places(rings, edge, pitch);
    let mut best = None;
    for _ in 0..4 {
        best = best_place(&found, edge, halves, (outer, inner), splice);
        if best.is_some() {
            break;
        }
        halves = (halves.0 / 2.0, halves.1 / 2.0);
    }
    let place = best.unwrap_or_else(|| {
        let at = splice.roomiest(edge.inner);
        let near = outer.nearest(inner.place(at));
        let free = splice.room(edge.outer, near, halves.0).is_some();
        let near = if free {
            near
        } else {
            splice.roomiest(edge.outer)
        };
        Place {
            outer: near,
            inner: at,
            away: 0.0,
        }
    });
    let a = splice.cut(edge.outer, place.outer - halves.0, place.outer + halves.0);
    let b = splice.cut(edge.inner, place.inner - halves.1, place.inner + halves.1);
    let turn = |ring: &Ring, at: f64, half: f64, side: f64| ring.place(at + side * TURN * half);
    // Rings that meet in the middle of the region run in opposite directions.
    let alike = dot(
        runs(outer, place.outer, halves.0),
        runs(inner, place.inner, halves.1),
    );
    let opposite = if alike < 0.0 { -1.0 } else { 1.0 };
    for (side, from, to) in [
        (-1.0, a.0, if alike < 0.0 { b.1 } else { b.0 }),
        (1.0, a.1, if alike < 0.0 { b.0 } else { b.1 }),
    ] {
        let p = turn(outer, place.outer, halves.0, side);
        let q = turn(inner, place.inner, halves.1, side * opposite);
        let by = if distance(p, q) > 3.0 * pitch {
            vec![p, q]
        } else {
            vec![(p + q) / 2.0]
        };
        splice.join(from, to, by);
    }
}

/// Which way a ring runs about a place.
fn runs(ring: &Ring, at: f64, half: f64) -> Coord<f64> {
    ring.place(at + half) - ring.place(at - half)
}

/// Places where the two rings lie side by side.
fn places(rings: &[Ring], edge: Edge, pitch: f64) -> Vec<Place> {
    let near = Near::new(rings, &[edge.outer], 2.5 * pitch);
    let inner = &rings[edge.inner];
    let step = (0.4f64).min(inner.length() / 24.0);
    inner
        .samples(step, usize::MAX)
        .filter_map(|at| {
            let foot = near.nearest(inner.place(at), |_| true)?;
            Some(Place {
                outer: foot.at,
                inner: at,
                away: foot.away,
            })
        })
        .collect()
}

/// The place that is free on both rings, with most room about it, where the rings are straight
/// and near.
fn best_place(
    found: &[Place],
    edge: Edge,
    halves: (f64, f64),
    rings: (&Ring, &Ring),
    splice: &Splice,
) -> Option<Place> {
    let bent = |ring: &Ring, at: f64, half: f64| {
        1.0 - distance(ring.place(at - half), ring.place(at + half)) / (2.0 * half)
    };
    let rated = found.iter().filter_map(|&place| {
        let room = splice.room(edge.outer, place.outer, halves.0)?;
        let room = splice.room(edge.inner, place.inner, halves.1)?.min(room);
        let bends = bent(rings.0, place.outer, halves.0) + bent(rings.1, place.inner, halves.1);
        Some((bends * 5.0 + place.away * 5.0 - room.min(APART), place))
    });
    rated
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, place)| place)
}
