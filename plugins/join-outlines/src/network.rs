//! Lines cut where they meet: a planar graph whose edges keep their drawn course.

use crate::contact::{CONTACT, Pieces, Spot};
use crate::ends::tie_ends;
use crate::inspection::{self, Need};
use crate::joints::Joints;
use crate::line::Line;
use geometry::measure::{distance, to_edge, way_length};
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Edges between the same two joints that lie this near to each other are one, in mm: far less
/// than a thread's width, and far less than lines that were meant to lie side by side.
const SAME: f64 = 0.02;

/// Shorter edges are not compared, in mm: lines that cross twice within a thread's width look the
/// same there by chance.
const SHORTEST_SAME: f64 = 0.1;

/// What a hidden mm counts for, in visible ones, where the walk looks for what to sew again: next
/// to nothing, but less of it is still better.
const HIDDEN: f64 = 0.02;

/// What an edge is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// A part of a drawn line.
    Drawn,
    /// A hidden way that holds two parts together.
    Link,
    /// A hidden way that may be used.
    Offer,
}

/// A part of a line between two joints, or a hidden way.
#[derive(Clone, Debug)]
pub struct Edge {
    /// The joints at its beginning and end.
    pub joints: [usize; 2],
    /// Its course, from joint to joint.
    pub course: Vec<Coord<f64>>,
    /// What it is for.
    pub used_as: Use,
    /// How many mm of it later objects cover.
    pub hidden: f64,
}

impl Edge {
    /// A drawn edge in the open.
    pub fn drawn(joints: [usize; 2], course: Vec<Coord<f64>>) -> Self {
        Self {
            joints,
            course,
            used_as: Use::Drawn,
            hidden: 0.0,
        }
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        way_length(&self.course)
    }
}

/// Lines that hang together.
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// Which lines, in rising order.
    pub lines: Vec<usize>,
    /// What there is to sew; joints are numbered from 0.
    pub edges: Vec<Edge>,
    /// How many edges were left out because they lay on another.
    pub doubles: usize,
}

impl Part {
    /// The part as a graph, with lengths in millionths of a visible mm.
    pub fn to_graph(&self) -> inspection::Graph {
        let edge = |edge: &Edge| {
            let hidden = edge.hidden.min(edge.length());
            let counted = edge.length() - hidden * (1.0 - HIDDEN);
            inspection::Edge {
                nodes: edge.joints,
                length: ((counted * 1e6).round() as u64).max(1),
                need: match edge.used_as {
                    Use::Drawn => Need::Always,
                    Use::Link => Need::ToHold,
                    Use::Offer => Need::Never,
                },
            }
        };
        inspection::Graph::new(self.edges.iter().map(edge).collect())
    }

    /// The places of the joints, by their numbers.
    pub fn places(&self) -> Vec<Coord<f64>> {
        let joints = self.edges.iter().flat_map(|edge| edge.joints);
        let count = joints.max().map_or(0, |last| last + 1);
        let mut places = vec![Coord { x: 0.0, y: 0.0 }; count];
        for edge in &self.edges {
            places[edge.joints[0]] = edge.course[0];
            places[edge.joints[1]] = edge.course[edge.course.len() - 1];
        }
        places
    }
}

/// The connected parts of `lines`, by their first line. Ends within `reach` mm of each other or of
/// a line meet; so do lines that cross or lie on one another.
pub fn parts(lines: &[Line], reach: f64) -> Vec<Part> {
    let mut joints = tie(lines, reach);
    let mut hanging = Groups::new(lines.len());
    let mut first_on = BTreeMap::new();
    for line in 0..lines.len() {
        for (_, joint) in joints.spots(line) {
            let first = *first_on.entry(joint).or_insert(line);
            hanging.merge(first, line);
        }
    }
    let mut parts: BTreeMap<usize, Part> = BTreeMap::new();
    for (number, line) in lines.iter().enumerate() {
        let part = parts.entry(hanging.of(number)).or_default();
        part.lines.push(number);
        cut(line, number, reach, &mut joints, &mut part.edges);
    }
    let mut parts: Vec<Part> = parts.into_values().collect();
    for part in &mut parts {
        drop_doubles(part);
        number_joints(part);
    }
    parts
}

/// All joints of `lines`.
fn tie(lines: &[Line], reach: f64) -> Joints {
    let pieces = Pieces::new(lines);
    let mut joints = Joints::new(lines);
    let contacts = pieces.contacts(2.0 * reach);
    for contact in contacts.iter().filter(|contact| !contact.brushes) {
        let [first, second] = contact.spots;
        let joint = joints.add(lines[first.line].place(first.at));
        joints.tie(first, joint);
        joints.tie(second, joint);
    }
    tie_ends(lines, &pieces, reach, &mut joints);
    // Lines that run into each other gently, or along each other, are tied once: more ties would
    // only cut them into crumbs.
    let mut hanging = Groups::new(lines.len());
    let mut first_on = BTreeMap::new();
    joints.settle();
    for line in 0..lines.len() {
        for (_, joint) in joints.spots(line) {
            hanging.merge(*first_on.entry(joint).or_insert(line), line);
        }
    }
    for contact in contacts.iter().filter(|contact| contact.brushes) {
        let [first, second] = contact.spots;
        if hanging.merge(first.line, second.line) {
            let joint = joints.add(lines[first.line].place(first.at));
            joints.tie(first, joint);
            joints.tie(second, joint);
        }
    }
    joints.settle();
    // A ring that nothing touches begins somewhere, too.
    for (number, line) in lines.iter().enumerate() {
        if line.closed && joints.spots(number).is_empty() {
            let joint = joints.add(line.place(0.0));
            joints.tie(
                Spot {
                    line: number,
                    at: 0.0,
                },
                joint,
            );
        }
    }
    joints
}

/// Adds the edges of a line, cut at its spots. The stub that a line leaves beyond the joint that
/// its end was moved to is dropped.
fn cut(line: &Line, number: usize, reach: f64, joints: &mut Joints, edges: &mut Vec<Edge>) {
    let spots = joints.spots(number);
    let mut spans: Vec<[(f64, usize); 2]> =
        spots.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    if line.closed
        && let (Some(&last), Some(&first)) = (spots.last(), spots.first())
    {
        spans.push([last, (first.0 + line.length(), first.1)]);
    }
    let only = spans.len() == 1;
    for [from, to] in spans {
        let length = to.0 - from.0;
        if from.1 == to.1 && length <= 2.0 * reach && !only {
            continue;
        }
        let ends = [joints.place(from.1), joints.place(to.1)];
        let course = course(line, [from.0, to.0], length, reach, ends);
        if course.len() > 1 {
            edges.push(Edge::drawn([from.1, to.1], course));
        }
    }
}

/// The course of an edge: the line's own, drawn to the joints over two reaches at either end, so
/// that lines which run side by side and meet only in the end stay side by side.
fn course(
    line: &Line,
    [from, to]: [f64; 2],
    length: f64,
    reach: f64,
    ends: [Coord<f64>; 2],
) -> Vec<Coord<f64>> {
    let bend = (2.0 * reach).min(length / 3.0);
    let moved = |at: f64, end: Coord<f64>| distance(line.place(at), end) > CONTACT;
    let leave = if moved(from, ends[0]) { bend } else { 0.0 };
    let arrive = if moved(to, ends[1]) { bend } else { 0.0 };
    let mut course = vec![ends[0]];
    if length > 0.0 {
        let mut own = line.part(line.round(from + leave), line.round(to - arrive));
        // Where the line was not drawn away, its own place gives way to the joint's.
        if arrive == 0.0 {
            own.pop();
        }
        course.extend(own.into_iter().skip(usize::from(leave == 0.0)));
    }
    course.push(ends[1]);
    course.dedup();
    course
}

/// Leaves out edges that lie on others between the same joints.
fn drop_doubles(part: &mut Part) {
    let mut between: BTreeMap<[usize; 2], Vec<usize>> = BTreeMap::new();
    let mut kept: Vec<Edge> = Vec::with_capacity(part.edges.len());
    for edge in std::mem::take(&mut part.edges) {
        let mut joints = edge.joints;
        joints.sort_unstable();
        let others = between.entry(joints).or_default();
        let comparable = edge.length() >= SHORTEST_SAME;
        if comparable
            && others
                .iter()
                .any(|&other| lie_together(&kept[other], &edge))
        {
            part.doubles += 1;
        } else {
            others.push(kept.len());
            kept.push(edge);
        }
    }
    part.edges = kept;
}

fn lie_together(a: &Edge, b: &Edge) -> bool {
    (a.length() - b.length()).abs() <= SAME + 0.01 * a.length() && lies_on(a, b) && lies_on(b, a)
}

fn lies_on(a: &Edge, b: &Edge) -> bool {
    a.course.iter().all(|&corner| {
        let mut pieces = b.course.windows(2);
        pieces.any(|pair| to_edge(corner, [pair[0], pair[1]]) <= SAME)
    })
}

/// Numbers a part's joints from 0, in the order in which its edges name them.
fn number_joints(part: &mut Part) {
    let mut numbers = BTreeMap::new();
    for joint in part.edges.iter_mut().flat_map(|edge| &mut edge.joints) {
        let next = numbers.len();
        *joint = *numbers.entry(*joint).or_insert(next);
    }
}

#[cfg(test)]
mod tests;
