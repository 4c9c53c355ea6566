//! The medial axis of a region, with its half-width.
//!
//! The medial axis is the set of middles of all circles inside a region that touch its edge at
//! two places or more (H. Blum, "A transformation for extracting new descriptors of shape",
//! 1967). It is given as a graph: nodes where branches meet or end, branches as chains of places,
//! and for every place the radius of its circle and the two feet where that circle touches the
//! edge. The two feet of a place face each other across the region, which is what a satin stitch
//! joins, and the line between them is square to the axis.
//!
//! It is found from a constrained Delaunay triangulation of the edge, sampled finer where the
//! region is narrow: the middles of the circles around neighbouring triangles are neighbouring
//! places of the axis (the Voronoi diagram of the samples). Cost: n log n.
//!
//! An exact medial axis has a branch into every convex corner, and so into every facet of a
//! drawn curve. [`Pruning`] says which branches are worth keeping.
//!
//! ```
//! use hoopwright_geometry::geo::polygon;
//! use hoopwright_geometry::medial_axis::{Pruning, medial_axis};
//!
//! let bar = polygon![(x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 10.), (x: 0., y: 10.)];
//! let axis = medial_axis(&bar.into(), Pruning::default());
//! assert_eq!(axis.branches.len(), 1);
//! assert!((axis.branches[0].length() - 20.0).abs() < 0.1);
//! ```

mod edge;
mod graph;
mod prune;
mod triangles;

use crate::area::clean;
use crate::measure::distance;
use crate::measured::Ring;
use geo::{Coord, MultiPolygon};
use triangles::Triangles;

/// Which branches of an axis are worth keeping. Closed loops always are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pruning {
    /// The least angle in degrees, seen from the axis, between the two feet of a place. From the
    /// tip of a branch inwards, what lies under it is cut off: branches into facets of a drawn
    /// curve, and into corners blunter than 180° less this angle.
    pub least_separation: f64,
    /// How far the circles of a branch must reach beyond the circle it springs from, as a share
    /// of that circle's radius. Into a corner of angle a they reach R / sin(a / 2) - R, so that
    /// 0.5 cuts branches into corners blunter than about 84° and 0 keeps every corner.
    pub least_reach: f64,
}

impl Default for Pruning {
    /// The axis of a long shape: no branches into the corners of a rectangle, but into those of
    /// a triangle or a star.
    fn default() -> Self {
        Self {
            least_separation: 30.0,
            least_reach: 0.5,
        }
    }
}

/// The medial axis of a region.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MedialAxis {
    /// The edge of the region that feet lie on: the rings of the cleaned region, which lies on their left in
    /// coordinates (on their right as seen with y down), be it an outer edge or the edge of a hole.
    pub rings: Vec<Ring>,
    /// Where branches meet or end. A node without branches stands for a part as round as a disc
    /// or a square; a node where a single branch starts and ends, for a ring.
    pub nodes: Vec<Node>,
    /// The parts of the axis between nodes.
    pub branches: Vec<Branch>,
}

/// Where branches of an axis meet or end.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where.
    pub at: Coord<f64>,
    /// The distance to the edge in mm: the half-width there.
    pub radius: f64,
    /// The branches, in the order in which they lie around the node, anticlockwise in
    /// coordinates (clockwise as seen with y down). Leaving the node, the left foot of each
    /// branch is the right foot of the next.
    pub ends: Vec<BranchEnd>,
}

/// One of the two ends of a branch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BranchEnd {
    /// The branch, as its place in [`MedialAxis::branches`].
    pub branch: usize,
    /// Whether it is the end at the branch's last place.
    pub last: bool,
}

/// A part of an axis between two nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// The node where it starts.
    pub from: usize,
    /// The node where it ends; the same one for a loop.
    pub to: usize,
    /// At least one place; the first lies on the node `from`, the last on the node `to`.
    pub places: Vec<AxisPlace>,
}

/// A place on an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisPlace {
    /// Where.
    pub at: Coord<f64>,
    /// The distance to the edge in mm: the half-width there.
    pub radius: f64,
    /// Where its circle touches the edge on the left, going along the branch, in coordinates
    /// (on the right as seen with y down). Going along the branch, left feet go against the
    /// direction of their ring.
    pub left: Foot,
    /// Where its circle touches the edge on the other side. Right feet go with their ring.
    pub right: Foot,
}

/// A place on the edge of a region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foot {
    /// Where.
    pub at: Coord<f64>,
    /// The ring, as its place in [`MedialAxis::rings`].
    pub ring: usize,
    /// How far along the ring, in mm from its first corner.
    pub along: f64,
}

impl Branch {
    /// Its length in mm.
    pub fn length(&self) -> f64 {
        self.places
            .windows(2)
            .map(|pair| distance(pair[0].at, pair[1].at))
            .sum()
    }
}

impl MedialAxis {
    /// The length of all branches in mm.
    pub fn length(&self) -> f64 {
        self.branches.iter().map(Branch::length).sum()
    }
}

/// The medial axis of `area`, which need not be clean. Without area there is no axis.
pub fn medial_axis(area: &MultiPolygon<f64>, pruning: Pruning) -> MedialAxis {
    let mut area = clean(area);
    if edge::touches_itself(&area) {
        // Rings that share a corner would share a sample; draw them apart by a hair.
        area = crate::offset::grow(&area, -0.003);
    }
    let rings = edge::rings_of(&area);
    if rings.is_empty() {
        return MedialAxis::default();
    }
    let triangles = Triangles::of(&rings);
    let kept = prune::prune(&triangles, pruning);
    graph::build(&triangles, &kept).into_axis(rings)
}

#[cfg(test)]
mod tests;
