//! The one line that sews a whole part.

use crate::inspection::{Passage, Walk, inspect};
use crate::network::{Edge, Part};
use geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// How far from a joint an edge's direction is measured, in mm.
const LOOK: f64 = 0.5;

/// A part as one line, and what it costs.
#[derive(Clone, Debug)]
pub struct Trail {
    /// The line.
    pub path: Polyline,
    /// The length of all edges, in mm.
    pub drawn: f64,
    /// The length that is sewn again, in mm.
    pub retraced: f64,
    /// How many joints join an odd number of edges.
    pub odd_joints: usize,
    /// How many trails it would take without sewing anything again.
    pub trails_without_retracing: usize,
    /// Whether less retracing is proven impossible.
    pub exact: bool,
}

/// The shortest trail along every edge of `part`, or nothing where it has none. At each joint it
/// goes straight on where it can.
pub fn sew(part: &Part, walk: Walk) -> Option<Trail> {
    let graph = part.to_graph();
    let ways: Vec<[Coord<f64>; 2]> = part.edges.iter().map(directions).collect();
    let found = inspect(&graph, walk, |arriving, leaving| {
        // Both ways point out of their edge's end; straight on means that they are opposite.
        let a = ways[arriving.edge][usize::from(arriving.forward)];
        let b = ways[leaving.edge][usize::from(!leaving.forward)];
        a.x * b.x + a.y * b.y
    })?;
    Some(Trail {
        path: line(part, &found.trail),
        drawn: graph.length() as f64 / 1e6,
        retraced: found.retraced as f64 / 1e6,
        odd_joints: found.odd_nodes,
        trails_without_retracing: found.trails_without_retracing(),
        exact: found.exact,
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

fn line(part: &Part, trail: &[Passage]) -> Polyline {
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
    let closed = corners.len() > 3 && corners.first() == corners.last();
    if closed {
        corners.pop();
    }
    Polyline::new(corners, closed)
}
