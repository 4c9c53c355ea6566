//! Lines and edges that an end can be laid onto.

use crate::path::Path;
use crate::{Onto, SnapEnds};
use hoopwright_sdk::geometry::measure::{distance, nearest_on};
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line};
use std::collections::BTreeSet;

/// Whose piece it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// A line whose ends move, by its place in the list, and the piece's place in the line.
    Path(usize, usize),
    /// A line or an edge that stays, by its number among them.
    Fixed(usize),
}

impl Owner {
    /// Whether both are pieces of one line or edge.
    pub fn is_one_line_with(self, other: Self) -> bool {
        match (self, other) {
            (Self::Path(a, _), Self::Path(b, _)) | (Self::Fixed(a), Self::Fixed(b)) => a == b,
            _ => false,
        }
    }
}

/// A straight piece.
pub(crate) type Piece = GeomWithData<Line<[f64; 2]>, Owner>;

/// The pieces that stay: of closed and of sewn lines, of unselected ones, and of regions.
pub(crate) fn fixed(
    objects: &[Object],
    selected: &[usize],
    paths: &[Path],
    settings: &SnapEnds,
) -> Vec<Piece> {
    let selected: BTreeSet<usize> = selected.iter().copied().collect();
    let moving: BTreeSet<(usize, usize)> = paths.iter().map(|p| (p.object, p.number)).collect();
    let mut pieces = Vec::new();
    let mut number_of_line = 0..;
    let mut add = |line: &Polyline| {
        let owner = Owner::Fixed(number_of_line.next().unwrap_or_default());
        let corners = line.to_line_string().0;
        for pair in corners.windows(2) {
            pieces.extend(piece([pair[0], pair[1]], owner));
        }
    };
    for (place, object) in objects.iter().enumerate() {
        if settings.onto == Onto::Selected && !selected.contains(&place) {
            continue;
        }
        match &object.shape {
            Shape::Lines(lines) if settings.to_lines => {
                for (number, line) in lines.paths.iter().enumerate() {
                    if !moving.contains(&(place, number)) {
                        add(line);
                    }
                }
            }
            Shape::Region(region) if settings.to_edges => {
                for polygon in &region.polygons {
                    let rings = std::iter::once(&polygon.outer).chain(&polygon.holes);
                    rings.for_each(&mut add);
                }
            }
            _ => {}
        }
    }
    pieces
}

fn piece(ends: [Coord<f64>; 2], owner: Owner) -> Option<Piece> {
    let finite = ends.iter().all(|c| c.x.is_finite() && c.y.is_finite());
    let [a, b] = ends.map(|c| [c.x, c.y]);
    finite.then(|| GeomWithData::new(Line::new(a, b), owner))
}

/// The pieces of the lines as they are now.
pub(crate) fn of_paths(paths: &[Path]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for (number, path) in paths.iter().enumerate() {
        for (place, pair) in path.now().windows(2).enumerate() {
            pieces.extend(piece([pair[0], pair[1]], Owner::Path(number, place)));
        }
    }
    pieces
}

/// The corners of a piece.
pub(crate) fn corners(piece: &Piece) -> [Coord<f64>; 2] {
    [piece.geom().from, piece.geom().to].map(|[x, y]| Coord { x, y })
}

/// Everything that ends can be laid onto.
pub(crate) struct Targets(RTree<Piece>);

impl Targets {
    pub fn new(pieces: Vec<Piece>) -> Self {
        Self(RTree::bulk_load(pieces))
    }

    /// The place of the line of `owner` nearest to `at`.
    pub fn nearest_of(&self, owner: Owner, at: Coord<f64>) -> Option<Coord<f64>> {
        let mut nearest_first = self.0.nearest_neighbor_iter([at.x, at.y]);
        let piece = nearest_first.find(|piece| piece.data.is_one_line_with(owner))?;
        Some(nearest(piece, at))
    }

    /// The pieces within `reach` of `at`, the nearest first.
    pub fn near(&self, at: Coord<f64>, reach: f64) -> Vec<Piece> {
        let mut near: Vec<(f64, Piece)> = self
            .0
            .locate_within_distance([at.x, at.y], reach * reach)
            .map(|piece| (distance(at, nearest(piece, at)), *piece))
            .collect();
        // Equally near ones in one order, however the tree holds them.
        near.sort_by(|(a, p), (b, q)| {
            let places = |piece: &Piece| [piece.geom().from, piece.geom().to].concat();
            // What stays goes by its place alone.
            let moving = |piece: &Piece| match piece.data {
                Owner::Path(line, place) => (0, line, place),
                Owner::Fixed(_) => (1, 0, 0),
            };
            let order = places(p)
                .into_iter()
                .zip(places(q))
                .map(|(a, b)| a.total_cmp(&b))
                .find(|order| order.is_ne());
            a.total_cmp(b)
                .then(moving(p).cmp(&moving(q)))
                .then(order.unwrap_or(std::cmp::Ordering::Equal))
        });
        near.into_iter().map(|(_, piece)| piece).collect()
    }
}

/// The place of `piece` nearest to `at`.
pub(crate) fn nearest(piece: &Piece, at: Coord<f64>) -> Coord<f64> {
    nearest_on(corners(piece), at)
}
