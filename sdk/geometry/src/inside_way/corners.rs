//! The corners of an area at which a shortest way can bend.

use crate::measure::{cross, distance};
use geo::{Coord, LineString, MultiPolygon};

/// How far round edges may be circumscribed, in mm.
const CIRCUMSCRIBED: f64 = 0.05;

/// How many corners an area is looked at with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Detail {
    /// Every one.
    All,
    /// Few for round edges.
    Circumscribed,
}

/// A corner at which the area turns around something outside it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    pub at: Coord<f64>,
    pub part: usize,
    before: Coord<f64>,
    after: Coord<f64>,
}

impl Corner {
    /// Whether the line from `place` through the corner leaves both edges on one side: no shortest
    /// way bends here otherwise.
    pub fn touches(&self, place: Coord<f64>) -> bool {
        let way = self.at - place;
        let slack = 1e-6 * (way.x.abs() + way.y.abs());
        let before = cross(way, self.before - self.at);
        let after = cross(way, self.after - self.at);
        (before >= -slack && after >= -slack) || (before <= slack && after <= slack)
    }
}

/// The corners of a clean area, ring by ring.
pub(super) fn of(area: &MultiPolygon<f64>, detail: Detail) -> Vec<Corner> {
    let mut corners = Vec::new();
    for (part, polygon) in area.iter().enumerate() {
        let holes = polygon.interiors().iter().map(|ring| (ring, false));
        for (ring, outer) in std::iter::once((polygon.exterior(), true)).chain(holes) {
            let mut ring = inside_left(ring, outer);
            if detail == Detail::Circumscribed {
                ring = circumscribed(ring);
            }
            let count = ring.len();
            for i in 0..count {
                let before = ring[(i + count - 1) % count];
                let (at, after) = (ring[i], ring[(i + 1) % count]);
                if cross(at - before, after - at) < 0.0 {
                    corners.push(Corner {
                        at,
                        part,
                        before,
                        after,
                    });
                }
            }
        }
    }
    corners
}

/// The corners of a ring, so turned that the area lies on the side where [`cross`] is positive.
fn inside_left(ring: &LineString<f64>, outer: bool) -> Vec<Coord<f64>> {
    let mut corners = ring.0.clone();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    let Some(&origin) = corners.first() else {
        return corners;
    };
    let doubled: f64 = corners
        .windows(2)
        .map(|edge| cross(edge[0] - origin, edge[1] - origin))
        .sum();
    if (doubled > 0.0) != outer {
        corners.reverse();
    }
    corners
}

/// The ring with edges between two such corners left out, where their neighbours, drawn on until
/// they meet, stray less than [`CIRCUMSCRIBED`] from it. The ring moves into the area, never out.
fn circumscribed(ring: Vec<Coord<f64>>) -> Vec<Coord<f64>> {
    // What was left out already counts, so that the strays do not add up.
    let mut kept: Vec<(Coord<f64>, f64)> = Vec::with_capacity(ring.len());
    let count = ring.len();
    for (i, &next) in ring.iter().enumerate() {
        let after = ring[(i + 1) % count];
        if let [.., (before, _), (last, strayed)] = kept[..]
            && let Some(meet) = meeting([before, last, next, after])
        {
            let stray = distance_to_line(meet, last, next) + strayed;
            // The last two corners are looked at with the first ones as they were drawn.
            if stray <= CIRCUMSCRIBED && i + 1 < count {
                kept.pop();
                kept.push((meet, stray));
                continue;
            }
        }
        kept.push((next, 0.0));
    }
    kept.into_iter().map(|(corner, _)| corner).collect()
}

/// Where the edges before and after the middle one meet when drawn on, if both of its ends turn
/// around something outside.
fn meeting([a, b, c, d]: [Coord<f64>; 4]) -> Option<Coord<f64>> {
    let (first, middle, last) = (b - a, c - b, d - c);
    if cross(first, middle) >= 0.0 || cross(middle, last) >= 0.0 {
        return None;
    }
    let turn = cross(first, last);
    // Less than a half turn, and not so little that the meeting place is far off.
    if turn >= -1e-12 {
        return None;
    }
    let along = cross(middle, last) / turn;
    let meet = b + first * along;
    (along >= 0.0 && meet.x.is_finite() && meet.y.is_finite()).then_some(meet)
}

fn distance_to_line(place: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let length = distance(a, b);
    if length == 0.0 {
        return distance(place, a);
    }
    cross(b - a, place - a).abs() / length
}
