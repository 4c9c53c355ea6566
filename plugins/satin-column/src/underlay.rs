//! Underlay: what is sewn first, to carry the cover and hold the cloth.

use crate::column::{Column, Rung};
use crate::crossings::crossings;
use crate::pull::Pull;
use crate::zigzag::{Side, Zigzag, nearer_side, zigzag};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

choices! {
    /// What is sewn under a satin column.
    pub enum Underlay {
        /// By the column's width: nothing under 1 mm, a centre run from 1 to 2 mm, an edge run
        /// from 2 to 4 mm, an edge run and a zigzag over 4 mm. Nothing under details shorter than
        /// 3 mm.
        #[default]
        Automatic,
        /// Nothing.
        None,
        /// A run along the middle.
        Centre,
        /// Runs along both edges.
        Edge,
        /// A wide zigzag from edge to edge.
        Zigzag,
        /// Runs along both edges, then a zigzag.
        EdgeAndZigzag,
    }
}

/// One way along a column, under the cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pass {
    /// Along the middle.
    Centre,
    /// Along one edge.
    Edge(Side),
    /// From edge to edge.
    Zigzag,
}

impl Pass {
    /// The same pass over the same ground, along a column gone the other way.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Edge(Side::Left) => Self::Edge(Side::Right),
            Self::Edge(Side::Right) => Self::Edge(Side::Left),
            other => other,
        }
    }
}

/// Details shorter than this get no underlay, in mm: it would only make them stiff (common
/// practice).
const TINY: f64 = 3.0;

/// The passes that make up an underlay for a column `width` mm wide and `length` mm long.
pub fn passes(underlay: Underlay, width: f64, length: f64) -> Vec<Pass> {
    let edges = [Pass::Edge(Side::Left), Pass::Edge(Side::Right)];
    match underlay {
        Underlay::Automatic => {
            let by_width = match width {
                _ if length < TINY => Underlay::None,
                w if w < 1.0 => Underlay::None,
                w if w < 2.0 => Underlay::Centre,
                w if w <= 4.0 => Underlay::Edge,
                _ => Underlay::EdgeAndZigzag,
            };
            passes(by_width, width, length)
        }
        Underlay::None => Vec::new(),
        Underlay::Centre => vec![Pass::Centre],
        Underlay::Edge => edges.to_vec(),
        Underlay::Zigzag => vec![Pass::Zigzag],
        Underlay::EdgeAndZigzag => [&edges[..], &[Pass::Zigzag]].concat(),
    }
}

/// How underlay lies.
#[derive(Clone, Copy, Debug)]
pub struct Laying {
    /// How far inside the edges it stays, in mm; it runs up to the ends.
    pub inset: f64,
    /// From line 1 to line 3 of its zigzag, in mm.
    pub spacing: f64,
    /// The longest stitch of its zigzag, in mm.
    pub longest: f64,
}

/// The line of one pass from the start of `column` to its end. A run still has to be divided into
/// stitches; the corners of a zigzag are needle points.
///
/// A zigzag begins on the side nearer to `from`.
pub fn line_of(
    pass: Pass,
    column: &Column,
    laying: Laying,
    from: Option<Coord<f64>>,
) -> Vec<Coord<f64>> {
    let whole = || column.rungs().filter(|rung| rung.whole);
    match pass {
        Pass::Centre => column.spine(),
        Pass::Edge(Side::Left) => whole().map(|rung| inset(rung, laying.inset).left).collect(),
        Pass::Edge(Side::Right) => whole()
            .map(|rung| inset(rung, laying.inset).right)
            .collect(),
        Pass::Zigzag => {
            let rungs: Vec<Rung> = whole().map(|rung| inset(rung, laying.inset)).collect();
            let how = Zigzag {
                density: laying.spacing,
                longest: laying.longest,
                short_stitches: false,
            };
            let crossings = crossings(&rungs, laying.spacing, Pull::NONE);
            let first = nearer_side(crossings.first(), from);
            let points = zigzag(&crossings, first, how);
            apart(points)
        }
    }
}

/// The rung without its ends; where that leaves nothing, its middle.
fn inset(rung: &Rung, by: f64) -> Rung {
    let share = (by / rung.width().max(1e-9)).min(0.5);
    Rung {
        left: rung.left + (rung.right - rung.left) * share,
        right: rung.right + (rung.left - rung.right) * share,
        ..*rung
    }
}

/// Zigzag points that crowd where the column narrows are passed over.
fn apart(points: Vec<Coord<f64>>) -> Vec<Coord<f64>> {
    let mut kept: Vec<Coord<f64>> = Vec::new();
    for point in points {
        if kept.last().is_none_or(|&last| distance(last, point) >= 1.0) {
            kept.push(point);
        }
    }
    kept
}
