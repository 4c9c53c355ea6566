//! Nodes and branches from the triangles that carry the axis.

use super::prune::Kept;
use super::triangles::Triangles;
use super::{AxisPlace, Branch, BranchEnd, Foot, MedialAxis, Node};
use crate::measure::distance;
use crate::measured::Ring;
use geo::Coord;
use std::collections::{BTreeMap, BTreeSet};

/// An axis that remembers its triangles.
pub(super) struct Graph {
    pub nodes: Vec<TriangleNode>,
    pub branches: Vec<TriangleBranch>,
}

pub(super) struct TriangleNode {
    pub triangle: usize,
    at: Coord<f64>,
    pub radius: f64,
    pub ends: Vec<BranchEnd>,
}

pub(super) struct TriangleBranch {
    pub from: usize,
    pub to: usize,
    places: Vec<AxisPlace>,
    /// All its triangles, those of the nodes included.
    pub triangles: Vec<usize>,
}

impl TriangleBranch {
    pub fn length(&self) -> f64 {
        self.places
            .windows(2)
            .map(|pair| distance(pair[0].at, pair[1].at))
            .sum()
    }
}

impl TriangleBranch {
    /// How far the circles of the branch reach beyond that of a node.
    pub fn reach_beyond(&self, node: &TriangleNode) -> f64 {
        self.places
            .iter()
            .map(|place| distance(place.at, node.at) + place.radius - node.radius)
            .fold(0.0, f64::max)
    }
}

impl Graph {
    pub fn into_axis(self, rings: Vec<Ring>) -> MedialAxis {
        let nodes = self.nodes.into_iter().map(|node| Node {
            at: node.at,
            radius: node.radius,
            ends: node.ends,
        });
        let branches = self.branches.into_iter().map(|branch| Branch {
            from: branch.from,
            to: branch.to,
            places: branch.places,
        });
        MedialAxis {
            rings,
            nodes: nodes.collect(),
            branches: branches.collect(),
        }
    }
}

/// Walks the kept triangles from node to node.
pub(super) fn build(triangles: &Triangles, kept: &Kept) -> Graph {
    let mut walk = Walk {
        triangles,
        kept,
        node_of: BTreeMap::new(),
        seen: vec![false; triangles.all.len()],
        left_by: BTreeSet::new(),
        graph: Graph {
            nodes: Vec::new(),
            branches: Vec::new(),
        },
    };
    let places = || (0..triangles.all.len()).filter(|&place| kept.triangles[place]);
    for place in places() {
        if kept.sides(triangles, place).count() != 2 {
            walk.add_node(place);
        }
    }
    for node in 0..walk.graph.nodes.len() {
        walk.leave(node);
    }
    // What was not reached is a ring, without an end anywhere.
    for place in places() {
        if !walk.seen[place] {
            let node = walk.add_node(place);
            walk.leave(node);
        }
    }
    walk.sort_ends();
    walk.graph
}

struct Walk<'a> {
    triangles: &'a Triangles,
    kept: &'a Kept,
    /// The node of a triangle.
    node_of: BTreeMap<usize, usize>,
    seen: Vec<bool>,
    /// Triangles of nodes with the sides that a branch already leaves by, and which end it is.
    left_by: BTreeSet<(usize, usize, BranchEnd)>,
    graph: Graph,
}

impl Walk<'_> {
    fn add_node(&mut self, place: usize) -> usize {
        let triangle = &self.triangles.all[place];
        let (mut at, mut radius) = (triangle.centre, triangle.radius);
        if self.kept.corner[place] && self.kept.sides(self.triangles, place).count() == 1 {
            // The axis runs into the corner itself.
            at = self.triangles.samples[self.tip(place)].at;
            radius = 0.0;
        }
        let node = self.graph.nodes.len();
        self.seen[place] = true;
        self.node_of.insert(place, node);
        self.graph.nodes.push(TriangleNode {
            triangle: place,
            at,
            radius,
            ends: Vec::new(),
        });
        node
    }

    /// The corner of a triangle opposite to the only side with another one beyond.
    fn tip(&self, place: usize) -> usize {
        let triangle = &self.triangles.all[place];
        let side = triangle.across.iter().position(Option::is_some);
        triangle.corners[side.map_or(0, |side| (side + 2) % 3)]
    }

    /// Follows every branch that leaves a node and was not followed yet.
    fn leave(&mut self, node: usize) {
        let start = self.graph.nodes[node].triangle;
        let sides: Vec<usize> = self.kept.sides(self.triangles, start).collect();
        for side in sides {
            let lowest = BranchEnd {
                branch: 0,
                last: false,
            };
            let taken = self.left_by.range((start, side, lowest)..).next();
            if taken.is_some_and(|taken| (taken.0, taken.1) == (start, side)) {
                continue;
            }
            self.follow(node, start, side);
        }
    }

    fn follow(&mut self, node: usize, start: usize, first_side: usize) {
        let number = self.graph.branches.len();
        let mut branch = TriangleBranch {
            from: node,
            to: node,
            places: Vec::new(),
            triangles: vec![start],
        };
        self.start_place(start, first_side, &mut branch.places);
        let (mut place, mut side) = (start, first_side);
        // Every step reaches a triangle not on this branch yet, so the walk ends.
        while let Some(next) = self.triangles.all[place].across[side] {
            let entered = self.side_towards(next, place, side);
            branch.triangles.push(next);
            self.seen[next] = true;
            if let Some(&end) = self.node_of.get(&next) {
                branch.to = end;
                let mut places = Vec::new();
                self.start_place(next, entered, &mut places);
                branch.places.extend(places.into_iter().rev().map(turned));
                let last = BranchEnd {
                    branch: number,
                    last: true,
                };
                self.left_by.insert((next, entered, last));
                break;
            }
            let Some(exit) = self
                .kept
                .sides(self.triangles, next)
                .find(|&s| s != entered)
            else {
                break;
            };
            self.pass(next, entered, exit, &mut branch.places);
            (place, side) = (next, exit);
        }
        let first = BranchEnd {
            branch: number,
            last: false,
        };
        self.left_by.insert((start, first_side, first));
        self.graph.branches.push(branch);
    }

    /// The side of `next` that is side `side` of `place`.
    fn side_towards(&self, next: usize, place: usize, side: usize) -> usize {
        let from = self.triangles.all[place].corners[(side + 1) % 3];
        let corners = self.triangles.all[next].corners;
        corners
            .iter()
            .position(|&corner| corner == from)
            .unwrap_or(0)
    }

    /// The places of a node, for the branch that leaves by `side`.
    fn start_place(&self, node: usize, side: usize, places: &mut Vec<AxisPlace>) {
        let triangle = &self.triangles.all[node];
        let lone = self.kept.sides(self.triangles, node).count() == 1;
        if self.kept.corner[node] && lone {
            let tip = self.tip(node);
            let foot = self.foot(tip, self.triangles.samples[tip].at);
            places.push(AxisPlace {
                at: foot.at,
                radius: 0.0,
                left: foot,
                right: foot,
            });
        }
        // Leaving over a side, its first corner lies on the right.
        let (right, left) = (triangle.corners[side], triangle.corners[(side + 1) % 3]);
        places.push(AxisPlace {
            at: triangle.centre,
            radius: triangle.radius,
            left: self.foot(left, triangle.centre),
            right: self.foot(right, triangle.centre),
        });
    }

    /// The places of a triangle between two others.
    fn pass(&self, place: usize, entered: usize, exit: usize, places: &mut Vec<AxisPlace>) {
        let triangle = &self.triangles.all[place];
        let third = 3 - entered - exit;
        let (a, b) = (triangle.corners[third], triangle.corners[(third + 1) % 3]);
        let (at, radius) = (triangle.centre, triangle.radius);
        // The corner that entry and exit share.
        let shared = triangle.corners[(third + 2) % 3];
        let pivot = self.foot(shared, at);
        // Entering over a side, its first corner lies on the left; the third side follows it
        // (on the right) or comes before it (on the left).
        let on_the_right = third == (entered + 1) % 3;
        let mut add = |moving: Foot| {
            let (left, right) = if on_the_right {
                (pivot, moving)
            } else {
                (moving, pivot)
            };
            places.push(AxisPlace {
                at,
                radius,
                left,
                right,
            });
        };
        if triangle.across[third].is_none() {
            add(self.triangles.foot_between(a, b, at));
        } else {
            // A branch was cut off here; the edge goes out into it and back.
            let (first, second) = if on_the_right { (a, b) } else { (b, a) };
            add(self.foot(first, at));
            add(self.foot(second, at));
        }
    }

    fn foot(&self, sample: usize, at: Coord<f64>) -> Foot {
        self.triangles.foot_near(sample, at)
    }

    /// Sides rise anticlockwise around a triangle, and so do the ends of its branches.
    fn sort_ends(&mut self) {
        for &(triangle, _, end) in &self.left_by {
            if let Some(&node) = self.node_of.get(&triangle) {
                self.graph.nodes[node].ends.push(end);
            }
        }
    }
}

/// A place of a branch, gone along the other way.
fn turned(place: AxisPlace) -> AxisPlace {
    AxisPlace {
        left: place.right,
        right: place.left,
        ..place
    }
}
