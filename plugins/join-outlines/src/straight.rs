//! A part as lines that are sewn once each and run as straight as they can.
//!
//! Satin cannot be sewn twice over, and turns badly. So at each joint the ends of two edges that
//! go on most nearly straight make one line, and a branch ends there. The step that sews satin
//! goes from one line to the next under what it sews later, without a trim.

use crate::network::{Part, Use};
use crate::trail::path;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Ends go on in one line up to this turn: the cosine of 60°.
const STRAIGHT: f64 = 0.5;

/// An end of an edge: the first (0) or the last (1).
type End = (usize, usize);

/// The lines. `ways` are the directions in which each edge leaves its first and its last joint.
pub fn paths(part: &Part, ways: &[[Coord<f64>; 2]]) -> Vec<Polyline> {
    let goes_on = partners(part, ways);
    let mut done = vec![false; part.edges.len()];
    let mut paths = Vec::new();
    let drawn: Vec<usize> = (0..part.edges.len())
        .filter(|&edge| part.edges[edge].used_as == Use::Drawn)
        .collect();
    // Lines that have an end, from it; then rings.
    let free = |&edge: &usize| (0..2).find(|&side| !goes_on.contains_key(&(edge, side)));
    let begins = drawn.iter().filter_map(|edge| Some((*edge, free(edge)?)));
    let rings = drawn.iter().map(|&edge| (edge, 0));
    for begin in begins.chain(rings) {
        let mut corners: Vec<Coord<f64>> = Vec::new();
        let mut next = Some(begin);
        while let Some((edge, side)) = next.filter(|end| !done[end.0]) {
            done[edge] = true;
            let course = part.edges[edge].course.iter().copied();
            if side == 0 {
                corners.extend(course);
            } else {
                corners.extend(course.rev());
            }
            next = goes_on.get(&(edge, 1 - side)).copied();
        }
        corners.dedup();
        if corners.len() > 1 {
            paths.push(path(corners));
        }
    }
    paths
}

/// For each end that goes on straight, the end that it goes on to. Straightest first.
fn partners(part: &Part, ways: &[[Coord<f64>; 2]]) -> BTreeMap<End, End> {
    let mut at: BTreeMap<usize, Vec<End>> = BTreeMap::new();
    for (number, edge) in part.edges.iter().enumerate() {
        if edge.used_as == Use::Drawn {
            for side in 0..2 {
                at.entry(edge.joints[side])
                    .or_default()
                    .push((number, side));
            }
        }
    }
    let mut pairs: Vec<(f64, End, End)> = Vec::new();
    for ends in at.values() {
        for (i, &a) in ends.iter().enumerate() {
            for &b in &ends[i + 1..] {
                let (p, q) = (ways[a.0][a.1], ways[b.0][b.1]);
                let turn = p.x * q.x + p.y * q.y;
                // Where only two meet, it is a corner of one line, however sharp.
                if turn <= -STRAIGHT || ends.len() == 2 {
                    pairs.push((turn, a, b));
                }
            }
        }
    }
    pairs.sort_by(|p, q| p.0.total_cmp(&q.0).then((p.1, p.2).cmp(&(q.1, q.2))));
    let mut goes_on = BTreeMap::new();
    for (_, a, b) in pairs {
        if !goes_on.contains_key(&a) && !goes_on.contains_key(&b) {
            goes_on.insert(a, b);
            goes_on.insert(b, a);
        }
    }
    goes_on
}
