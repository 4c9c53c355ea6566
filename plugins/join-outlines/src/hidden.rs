//! Hidden ways between parts: where two parts of one thread do not touch, but a straight way from
//! one to the other lies under what is sewn later, they become one.
//!
//! Parts are linked by a shortest spanning forest of such ways (J. B. Kruskal, Proceedings of the
//! AMS 7 (1956) 48-50); the other ways that were found are offered to the walk. With the parts
//! linked, what remains is route inspection. This is G. N. Frederickson's method for the rural
//! postman (Journal of the ACM 26 (1979) 538-554): the walk is at most half as long again as the
//! shortest along the lines and ways found, and the shortest where the ways form no ring. A way passed twice is left out
//! afterwards where others hold the parts together.

use crate::layers;
use crate::line::Line;
use crate::network::{Edge, Part, Use};
use crate::painted::{Painted, bounds};
use geometry::measure::distance;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::collections::BTreeMap;

/// Along a line, a hidden way may begin every so many mm.
const EVERY: f64 = 2.0;

/// How many places of other parts are tried from each place.
const TRIES: usize = 8;

/// A place under cover where a hidden way may begin.
#[derive(Clone, Copy, Debug)]
struct Place {
    part: usize,
    at: Coord<f64>,
    spot: Spot,
}

/// Where on its part a place lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Spot {
    Joint(usize),
    /// At a corner of an edge's course.
    Corner {
        edge: usize,
        corner: usize,
    },
}

/// A hidden way between two places.
#[derive(Clone, Copy, Debug)]
struct Way {
    places: [usize; 2],
    used_as: Use,
}

/// Parts that are linked, and what bounds them in the sewing order.
#[derive(Clone, Copy, Debug)]
struct Bound {
    /// The place in the design of the last piece.
    last: usize,
    /// What must stay before this place.
    limit: usize,
}

/// The parts, those joined that hidden ways of up to `longest` mm link.
pub fn link(
    mut parts: Vec<Part>,
    lines: &[Line],
    longest: f64,
    painted: &mut Painted,
    thread: u32,
) -> Vec<Part> {
    if longest <= 0.0 || parts.len() < 2 || painted.is_empty() {
        return parts;
    }
    for part in &mut parts {
        let corners = part.edges.iter().flat_map(|edge| &edge.course);
        if !painted
            .after(layers::last(lines, part), bounds(corners))
            .is_empty()
        {
            for edge in &mut part.edges {
                edge.course = divided(&edge.course);
            }
        }
    }
    let places = hidden_places(&parts, lines, painted);
    let mut state: Vec<Bound> = Vec::with_capacity(parts.len());
    for part in &parts {
        state.push(Bound {
            last: layers::last(lines, part),
            limit: layers::first_over(lines, part, painted, thread).unwrap_or(usize::MAX),
        });
    }
    let mut groups = Groups::new(parts.len());
    let mut ways: Vec<Way> = Vec::new();
    for [a, b] in near_pairs(&places, longest) {
        let [one, other] = [a, b].map(|place| groups.of(places[place].part));
        let last = state[one].last.max(state[other].last);
        let way = [places[a].at, places[b].at];
        let over = painted.after(last, bounds(&way));
        let Some(&first) = over.first() else {
            continue;
        };
        let limit = state[one].limit.min(state[other].limit);
        let limit = limit.min(painted.object(first));
        if last >= limit || !painted.hiding(over).hides(way) {
            continue;
        }
        let apart = groups.merge(one, other);
        state[one.min(other)] = Bound { last, limit };
        ways.push(Way {
            places: [a, b],
            used_as: if apart { Use::Link } else { Use::Offer },
        });
    }
    joined(parts, groups, &places, &ways)
}

/// A course with corners no more than [`EVERY`] mm apart.
fn divided(course: &[Coord<f64>]) -> Vec<Coord<f64>> {
    let mut corners = Vec::with_capacity(course.len());
    corners.extend(course.first().copied());
    for step in course.windows(2) {
        let long = distance(step[0], step[1]);
        // Lines far longer than any hoop are not divided more finely than this.
        let pieces = (long / EVERY).ceil().clamp(1.0, 1000.0);
        for i in 1..pieces as usize {
            corners.push(step[0] + (step[1] - step[0]) * (i as f64 / pieces));
        }
        corners.push(step[1]);
    }
    corners
}

/// The places of all parts that something sewn after them covers.
fn hidden_places(parts: &[Part], lines: &[Line], painted: &Painted) -> Vec<Place> {
    let mut places = Vec::new();
    for (number, part) in parts.iter().enumerate() {
        let last = layers::last(lines, part);
        let corners = part.edges.iter().flat_map(|edge| &edge.course);
        if painted.after(last, bounds(corners)).is_empty() {
            continue;
        }
        let mut add = |at: Coord<f64>, spot: Spot| {
            let near = painted.after(last, bounds([&at]));
            if near.into_iter().any(|cover| painted.is_over(cover, at)) {
                places.push(Place {
                    part: number,
                    at,
                    spot,
                });
            }
        };
        for (joint, at) in part.places().into_iter().enumerate() {
            add(at, Spot::Joint(joint));
        }
        for (edge, drawn) in part.edges.iter().enumerate() {
            let mut since = 0.0;
            for corner in 1..drawn.course.len() - 1 {
                let [before, at] = [drawn.course[corner - 1], drawn.course[corner]];
                since += distance(before, at);
                if since >= EVERY / 2.0 {
                    since = 0.0;
                    add(at, Spot::Corner { edge, corner });
                }
            }
        }
    }
    places
}

/// Pairs of places of two parts, at most `longest` mm apart, nearest first.
fn near_pairs(places: &[Place], longest: f64) -> Vec<[usize; 2]> {
    let tree = places.iter().enumerate();
    let tree = tree.map(|(i, place)| GeomWithData::new([place.at.x, place.at.y], i));
    let tree = RTree::bulk_load(tree.collect());
    let mut pairs = Vec::new();
    for (i, place) in places.iter().enumerate() {
        let at = [place.at.x, place.at.y];
        let others = tree
            .nearest_neighbor_iter(at)
            .take_while(|other| distance(places[other.data].at, place.at) <= longest)
            .take(TRIES * 16)
            .filter(|other| places[other.data].part != place.part)
            .take(TRIES);
        for other in others {
            let j = other.data;
            pairs.push((distance(places[j].at, place.at), i.min(j), i.max(j)));
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    pairs.dedup();
    pairs.into_iter().map(|(_, i, j)| [i, j]).collect()
}

/// The parts of each group as one, with the ways between them.
fn joined(parts: Vec<Part>, mut groups: Groups, places: &[Place], ways: &[Way]) -> Vec<Part> {
    let mut used: BTreeMap<usize, Vec<Spot>> = BTreeMap::new();
    for way in ways {
        for place in way.places.map(|place| places[place]) {
            used.entry(place.part).or_default().push(place.spot);
        }
    }
    let mut all: BTreeMap<usize, Part> = BTreeMap::new();
    // For each part, the joints at its spots.
    let mut joints: BTreeMap<(usize, Spot), usize> = BTreeMap::new();
    for (number, mut part) in parts.into_iter().enumerate() {
        let mut spots = used.remove(&number).unwrap_or_default();
        spots.sort_unstable();
        spots.dedup();
        let at_spots = cut(&mut part, &spots);
        let into = all.entry(groups.of(number)).or_default();
        let shift = next_joint(into);
        for edge in &mut part.edges {
            edge.joints = edge.joints.map(|joint| joint + shift);
        }
        for (spot, joint) in spots.into_iter().zip(at_spots) {
            joints.insert((number, spot), joint + shift);
        }
        into.lines.extend(part.lines);
        into.edges.extend(part.edges);
        into.doubles += part.doubles;
    }
    for way in ways {
        let ends = way.places.map(|place| places[place]);
        let course = ends.map(|end| end.at).to_vec();
        let between = ends.map(|end| joints[&(end.part, end.spot)]);
        let part = all.entry(groups.of(ends[0].part)).or_default();
        part.edges.push(Edge {
            joints: between,
            hidden: distance(course[0], course[1]),
            course,
            used_as: way.used_as,
        });
    }
    let mut parts: Vec<Part> = all.into_values().collect();
    for part in &mut parts {
        part.lines.sort_unstable();
    }
    parts
}

fn next_joint(part: &Part) -> usize {
    let joints = part.edges.iter().flat_map(|edge| edge.joints);
    joints.max().map_or(0, |last| last + 1)
}

/// Cuts a part's edges at `spots`, which are in order. The joint at each.
fn cut(part: &mut Part, spots: &[Spot]) -> Vec<usize> {
    let mut next = next_joint(part);
    let mut joints = Vec::with_capacity(spots.len());
    let mut rest = 0;
    for (i, &spot) in spots.iter().enumerate() {
        let (edge, corner) = match spot {
            Spot::Joint(joint) => {
                joints.push(joint);
                continue;
            }
            Spot::Corner { edge, corner } => (edge, corner),
        };
        // An edge's spots come in rising order: each cuts what the one before left.
        let before = i.checked_sub(1).map(|before| spots[before]);
        let done = match before {
            Some(Spot::Corner { edge: same, corner }) if same == edge => corner,
            _ => {
                rest = edge;
                0
            }
        };
        let [_, end] = part.edges[rest].joints;
        let tail = part.edges[rest].course[corner - done..].to_vec();
        part.edges[rest].course.truncate(corner - done + 1);
        part.edges[rest].joints[1] = next;
        part.edges.push(Edge::drawn([next, end], tail));
        rest = part.edges.len() - 1;
        joints.push(next);
        next += 1;
    }
    joints
}
