//! Forks of the medial axis: which branches run through as one column, and which end there.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Ring;
use hoopwright_sdk::geometry::medial_axis::{AxisPlace, BranchEnd, MedialAxis};
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Forks that lie closer together than this share of their half-width are one fork.
const ONE_FORK: f64 = 0.9;

/// A place where three branches or more meet.
pub struct Fork {
    /// Where.
    pub at: Coord<f64>,
    /// The half-width there.
    pub radius: f64,
    /// The branches around it, in the order of [`MedialAxis`] nodes.
    pub ends: Vec<BranchEnd>,
    /// The edge of the region from the left foot of each end to the right foot of the next.
    pub gaps: Vec<Vec<Coord<f64>>>,
    /// The two ends that one column runs through.
    pub through: (usize, usize),
}

/// The forks of an axis, with those that nearly touch made one. Also gives the branches that
/// vanished between them.
pub fn forks_of(axis: &MedialAxis) -> (Vec<Fork>, Vec<bool>) {
    let mut vanished = vec![false; axis.branches.len()];
    let mut forks: BTreeMap<usize, Fork> = axis
        .nodes
        .iter()
        .enumerate()
        .filter(|(_, node)| node.ends.len() >= 3)
        .map(|(number, node)| {
            let gaps = node
                .ends
                .iter()
                .map(|&end| vec![leaving(axis, end)[0].left.at]);
            let fork = Fork {
                at: node.at,
                radius: node.radius,
                ends: node.ends.clone(),
                gaps: gaps.collect(),
                through: (0, 1),
            };
            (number, fork)
        })
        .collect();
    let mut fork_of: Vec<usize> = (0..axis.nodes.len()).collect();
    let mut short: Vec<usize> = (0..axis.branches.len()).collect();
    short.sort_by(|&a, &b| {
        axis.branches[a]
            .length()
            .total_cmp(&axis.branches[b].length())
    });
    for number in short {
        let branch = &axis.branches[number];
        let (from, to) = (fork_of[branch.from], fork_of[branch.to]);
        let (Some(one), Some(other)) = (forks.get(&from), forks.get(&to)) else {
            continue;
        };
        if from == to || branch.length() > ONE_FORK * one.radius.max(other.radius) {
            continue;
        }
        let Some(joined) = join(axis, number, one, other) else {
            continue;
        };
        vanished[number] = true;
        forks.remove(&to);
        forks.insert(from, joined);
        for fork in &mut fork_of {
            if *fork == to {
                *fork = from;
            }
        }
    }
    let mut forks: Vec<Fork> = forks.into_values().collect();
    for fork in &mut forks {
        fork.through = straightest(axis, fork);
    }
    (forks, vanished)
}

/// The places of a branch, going away from one of its ends.
pub fn leaving(axis: &MedialAxis, end: BranchEnd) -> Vec<AxisPlace> {
    let places = &axis.branches[end.branch].places;
    if end.last {
        places
            .iter()
            .rev()
            .map(|&place| AxisPlace {
                left: place.right,
                right: place.left,
                ..place
            })
            .collect()
    } else {
        places.clone()
    }
}

/// The edge between two right feet of a branch, gone along with it.
pub fn right_edge(rings: &[Ring], from: &AxisPlace, to: &AxisPlace) -> Vec<Coord<f64>> {
    edge_between(rings, from.right, to.right)
}

/// The edge between two left feet of a branch, gone along with it.
pub fn left_edge(rings: &[Ring], from: &AxisPlace, to: &AxisPlace) -> Vec<Coord<f64>> {
    let mut edge = edge_between(rings, to.left, from.left);
    edge.reverse();
    edge
}

fn edge_between(
    rings: &[Ring],
    from: geometry::medial_axis::Foot,
    to: geometry::medial_axis::Foot,
) -> Vec<Coord<f64>> {
    let ring = &rings[from.ring];
    // Feet may step back by a fraction of the sampling; that is no way around the whole ring.
    let back = (ring.length() * 0.2).min(1.0);
    if from.ring != to.ring || ring.forward(to.along, from.along) < back {
        return vec![from.at, to.at];
    }
    ring.piece(from.along, to.along)
}

/// The whole right side of a branch, from the end it leaves to the other.
fn right_side(axis: &MedialAxis, end: BranchEnd) -> Vec<Coord<f64>> {
    let places = leaving(axis, end);
    let mut side = vec![places[0].right.at];
    for pair in places.windows(2) {
        side.extend(
            right_edge(&axis.rings, &pair[0], &pair[1])
                .into_iter()
                .skip(1),
        );
    }
    side
}

/// One fork of two, with the branch between them gone.
fn join(axis: &MedialAxis, branch: usize, one: &Fork, other: &Fork) -> Option<Fork> {
    let here = one.ends.iter().position(|end| end.branch == branch)?;
    let there = other.ends.iter().position(|end| end.branch == branch)?;
    let (count, others) = (one.ends.len(), other.ends.len());
    let mut ends = Vec::new();
    let mut gaps = Vec::new();
    for step in 1..count {
        let end = (here + step) % count;
        ends.push(one.ends[end]);
        gaps.push(one.gaps[end].clone());
    }
    // The gap before the vanished branch goes on along it, into the other fork.
    if let Some(gap) = gaps.last_mut() {
        gap.extend(right_side(axis, one.ends[here]));
        gap.extend(&other.gaps[there]);
    }
    for step in 1..others {
        let end = (there + step) % others;
        ends.push(other.ends[end]);
        gaps.push(other.gaps[end].clone());
    }
    if let Some(gap) = gaps.last_mut() {
        gap.extend(right_side(axis, other.ends[there]));
        gap.extend(&one.gaps[here]);
    }
    let wider = if one.radius >= other.radius {
        one
    } else {
        other
    };
    Some(Fork {
        at: wider.at,
        radius: wider.radius,
        ends,
        gaps,
        through: (0, 1),
    })
}

/// The two ends that make the straightest column of the most even width.
fn straightest(axis: &MedialAxis, fork: &Fork) -> (usize, usize) {
    let arms: Vec<(Coord<f64>, f64, f64)> = fork
        .ends
        .iter()
        .map(|&end| {
            let places = leaving(axis, end);
            let far = places
                .iter()
                .find(|place| distance(place.at, fork.at) > 1.5 * fork.radius)
                .or(places.last());
            let far = far.map_or((fork.at, 0.0), |place| (place.at, place.radius));
            let length = distance(far.0, fork.at).max(1e-9);
            let reach = axis.branches[end.branch].length();
            ((far.0 - fork.at) / length, far.1, reach)
        })
        .collect();
    let mut best = ((0, 1), f64::INFINITY);
    for i in 0..arms.len() {
        for j in i + 1..arms.len() {
            let (a, b) = (arms[i], arms[j]);
            // -1 for ends that lie opposite each other, 1 for ends side by side.
            let turn = a.0.x * b.0.x + a.0.y * b.0.y;
            let uneven = (a.1 - b.1).abs() / a.1.max(b.1).max(1e-9);
            // Stubs run through only where nothing else is nearly as straight.
            let stub = (fork.radius / a.2.min(b.2).max(1e-9)).min(2.0);
            let badness = turn + 0.5 * uneven + 0.25 * stub;
            if badness < best.1 {
                best = ((i, j), badness);
            }
        }
    }
    best.0
}
