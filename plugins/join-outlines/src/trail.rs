//! The trail that sews a whole part.

use crate::Weight;
use crate::inspection::{Inspection, Passage, Walk, inspect};
use crate::network::{Edge, Part, Use};
use crate::tally::Tally;
use crate::{straight, triple};
use geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// How far from a joint an edge's direction is measured, in mm.
const LOOK: f64 = 0.5;

/// How a part is to be walked.
#[derive(Clone, Copy, Debug)]
pub struct Manner {
    /// How the weight of its lines is kept even.
    pub weight: Weight,
    /// Whether the trail ends where it began.
    pub come_back: bool,
    /// The longest stitch of triple run, in mm.
    pub stitch_length: f64,
}

/// A part as lines to sew, and what it costs.
#[derive(Clone, Debug)]
pub struct Trail {
    /// One line; several where none may be sewn twice.
    pub paths: Vec<Polyline>,
    /// What it costs, and what it would cost otherwise.
    pub tally: Tally,
}

/// The shortest trail along every edge of `part`, or nothing where it has none. At each joint it
/// goes straight on where it can.
pub fn sew(part: &Part, manner: Manner) -> Option<Trail> {
    if part.edges.is_empty() {
        return None;
    }
    let graph = part.to_graph();
    let ways: Vec<[Coord<f64>; 2]> = part.edges.iter().map(directions).collect();
    if manner.weight == Weight::Once {
        return Some(Trail {
            paths: straight::paths(part, &ways),
            tally: Tally::of(part, &graph, None),
        });
    }
    let walk = match (manner.weight, manner.come_back) {
        (Weight::EvenTwice, _) => Walk::Twice,
        (_, true) => Walk::Closed,
        (_, false) => Walk::Open,
    };
    let found: Inspection = inspect(&graph, walk, |arriving, leaving| {
        // Both ways point out of their edge's end; straight on means that they are opposite.
        let a = ways[arriving.edge][usize::from(arriving.forward)];
        let b = ways[leaving.edge][usize::from(!leaving.forward)];
        a.x * b.x + a.y * b.y
    })?;
    let path = if manner.weight == Weight::EvenTriple {
        triple::needle_way(part, &found.trail, manner.stitch_length)
    } else {
        line(part, &found.trail)
    };
    Some(Trail {
        paths: vec![path],
        tally: Tally::of(part, &graph, Some(&found)),
    })
}

/// The directions in which an edge leaves its first and its last joint.
fn directions(edge: &Edge) -> [Coord<f64>; 2] {
    [
        direction(edge.course.iter()),
        direction(edge.course.iter().rev()),
    ]
}

fn direction<'a>(mut course: impl Iterator<Item = &'a Coord<f64>>) -> Coord<f64> {
    let still = Coord { x: 0.0, y: 0.0 };
    let Some(&joint) = course.next() else {
        return still;
    };
    let mut away = still;
    for &corner in course {
        away = corner - joint;
        if distance(joint, corner) >= LOOK {
            break;
        }
    }
    let length = distance(still, away);
    if length > 0.0 { away / length } else { still }
}

/// The course of passages one after the other.
pub fn course(part: &Part, trail: &[Passage]) -> Vec<Coord<f64>> {
    let mut corners: Vec<Coord<f64>> = Vec::new();
    for passage in trail {
        let course = part.edges[passage.edge].course.iter().copied();
        if passage.forward {
            corners.extend(course);
        } else {
            corners.extend(course.rev());
        }
    }
    corners.dedup();
    corners
}

/// A course as a path: closed where it comes back to its beginning.
pub fn path(mut corners: Vec<Coord<f64>>) -> Polyline {
    let closed = corners.len() > 3 && corners.first() == corners.last();
    if closed {
        corners.pop();
    }
    Polyline::new(corners, closed)
}

fn line(part: &Part, trail: &[Passage]) -> Polyline {
    path(course(part, trail))
}

/// Whether an edge is part of the drawing.
pub fn is_drawn(part: &Part, edge: usize) -> bool {
    part.edges[edge].used_as == Use::Drawn
}
