//! Columns of parts as round as a disc or a square, whose axis is a single place.

use crate::cap::cap;
use crate::column::{Column, Rung};
use crate::ray::first_met;
use hoopwright_sdk::geometry::measure::longest_axis;
use hoopwright_sdk::geometry::measured::Ring;
use hoopwright_sdk::geometry::medial_axis::{MedialAxis, Node};
use hoopwright_sdk::prelude::*;

/// The degrees of a column that is crossed level, as the stem that a dot goes with is.
const UPRIGHT: f64 = 90.0;

/// A part less than so many times as long as wide has no axis that is seen: on a dot 4 mm across this is
/// 0.2 mm, half a thread. Where rounding chose one, dots that are equal would not look so.
const SEEN_LONG: f64 = 1.05;

/// A column along the longest axis of the part around `node`, upright where it has none, or square to
/// `angle` (degrees, anticlockwise as seen) where one is asked for.
pub fn round_column(axis: &MedialAxis, node: &Node, angle: Option<f64>) -> Option<Column> {
    let (ring, _) = axis
        .rings
        .iter()
        .map(|ring| (ring, distance_to(ring, node.at)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let part = geo::Polygon::new(ring.corners().iter().copied().collect(), Vec::new());
    let degrees = match angle {
        Some(angle) => angle + 90.0,
        None if elongation(&part) < SEEN_LONG => UPRIGHT,
        None => longest_axis(&part.into()).unwrap_or(UPRIGHT),
    };
    let (sin, cos) = degrees.to_radians().sin_cos();
    let along = Coord { x: cos, y: -sin };
    let to_left = Coord {
        x: -along.y,
        y: along.x,
    };
    let left = first_hit(ring, node.at, to_left)?;
    let right = first_hit(ring, node.at, to_left * -1.0)?;
    let ahead = cap(&ring.piece(right, left), along);
    let behind = cap(&ring.piece(left, right), along * -1.0);
    let behind = behind.swing.into_iter().chain(behind.rungs);
    let mut rungs: Vec<Rung> = behind.map(Rung::turned).collect();
    rungs.reverse();
    rungs.push(Rung::new(ring.place(left), ring.place(right)));
    rungs.extend(ahead.swing);
    rungs.extend(ahead.rungs);
    Column::whole(rungs, false)
}

/// How many times as long as wide a part is: the ratio of its greatest radius of gyration to its least, which
/// is that of the axes of an ellipse, and 1 for whatever is the same after a third of a turn or less.
fn elongation(part: &geo::Polygon<f64>) -> f64 {
    let Some(centre) = geo::Centroid::centroid(part) else {
        return 1.0;
    };
    // The second moments of area, by triangles from the centre.
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for edge in part.exterior().lines() {
        let (a, b) = (edge.start - centre.0, edge.end - centre.0);
        let twice = a.x * b.y - b.x * a.y;
        xx += twice * (a.x * a.x + a.x * b.x + b.x * b.x);
        yy += twice * (a.y * a.y + a.y * b.y + b.y * b.y);
        xy += twice * (a.x * a.y + b.x * b.y + (a.x * b.y + b.x * a.y) / 2.0);
    }
    let (middle, half) = ((xx + yy).abs() / 2.0, ((xx - yy) / 2.0).hypot(xy));
    ((middle + half) / (middle - half)).sqrt()
}

fn distance_to(ring: &Ring, place: Coord<f64>) -> f64 {
    let line = geo::LineString::from(ring.corners().to_vec());
    geo::Distance::distance(&geo::Euclidean, &geo::Point(place), &line)
}

/// How far along the ring a ray first meets it.
fn first_hit(ring: &Ring, from: Coord<f64>, direction: Coord<f64>) -> Option<f64> {
    let met = first_met(ring.corners(), from, direction)?;
    let mut lengths = ring.corners().windows(2).map(|ends| {
        let edge = ends[1] - ends[0];
        edge.x.hypot(edge.y)
    });
    let before: f64 = lengths.by_ref().take(met.piece).sum();
    Some(before + met.share * lengths.next()?)
}
