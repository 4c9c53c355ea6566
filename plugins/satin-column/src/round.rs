//! Columns of parts as round as a disc or a square, whose axis is a single place.

use crate::cap::cap;
use crate::column::{Column, Rung};
use crate::ray::first_met;
use hoopwright_sdk::geometry::measure::longest_axis;
use hoopwright_sdk::geometry::measured::Ring;
use hoopwright_sdk::geometry::medial_axis::{MedialAxis, Node};
use hoopwright_sdk::prelude::*;

/// A column along the longest axis of the part around `node`, or square to `angle` (degrees,
/// anticlockwise as seen) where one is asked for.
pub fn round_column(axis: &MedialAxis, node: &Node, angle: Option<f64>) -> Option<Column> {
    let (ring, _) = axis
        .rings
        .iter()
        .map(|ring| (ring, distance_to(ring, node.at)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let part = geo::Polygon::new(ring.corners().iter().copied().collect(), Vec::new());
    let degrees = angle.map_or_else(|| longest_axis(&part.into()).unwrap_or(0.0), |a| a + 90.0);
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
