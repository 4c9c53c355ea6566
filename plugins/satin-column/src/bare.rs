//! What the columns of a region leave bare, and columns for it.
//!
//! Columns end at forks, are cut at bays, and square off their tips; where that leaves a piece of
//! the region without cover, the piece is sewn like a region of its own, reaching a little under
//! what lies around it.

use crate::strand::Strand;
use geo::{Area, MultiPolygon, Polygon};
use hoopwright_sdk::THREAD_SPREAD;
use hoopwright_sdk::geometry::area::{difference, from_rings, intersection};
use hoopwright_sdk::geometry::{FillRule, offset::grow};
use hoopwright_sdk::prelude::*;

/// The thread of the outermost crossings hides this much beyond them, in mm: half its body, which is
/// 0.125 mm, rounded down. The bounds that satin is held to were settled with this.
const THREAD_REACH: f64 = 0.12;
/// Pieces thinner than twice this are hidden by the spreading of the thread, in mm.
const HIDDEN: f64 = THREAD_SPREAD;
/// Columns over a bare piece reach this far under what lies around it, in mm.
const UNDERLAP: f64 = 0.5;
/// Smaller pieces are not worth a column, in mm².
const LEAST_AREA: f64 = 0.05;

/// The pieces of `area` that `strands` leave bare, each grown so that it reaches under its
/// neighbours.
pub fn bare_pieces(area: &MultiPolygon<f64>, strands: &[Strand]) -> Vec<MultiPolygon<f64>> {
    let quads = strands.iter().flat_map(quads_of);
    let sewn = grow(&from_rings(quads, FillRule::NonZero), THREAD_REACH);
    let bare = difference(area, &sewn);
    // What vanishes when shrunk is thin, or a fringe of its piece.
    grow(&bare, -HIDDEN)
        .into_iter()
        .map(|core| grow(&core.into(), HIDDEN))
        .filter(|piece| piece.unsigned_area() > LEAST_AREA)
        .map(|piece| reaching_under(&piece, area))
        .filter(|piece| !piece.0.is_empty())
        .collect()
}

/// The areas between neighbouring rungs, all turning the same way.
fn quads_of(strand: &Strand) -> impl Iterator<Item = geo::LineString<f64>> + '_ {
    strand.column.steps().map(|(a, b)| {
        let corners = [a.left, a.right, b.right, b.left].map(on_grid);
        let twice_area: f64 = (0..4)
            .map(|i| (corners[i], corners[(i + 1) % 4]))
            .map(|(a, b)| a.x * b.y - a.y * b.x)
            .sum();
        let mut ring: geo::LineString<f64> = corners.into_iter().collect();
        if twice_area < 0.0 {
            ring.0.reverse();
        }
        ring
    })
}

/// A place moved to a grid of 1 µm: among slivers a few nanometres apart the overlay engine splits
/// edges without end.
fn on_grid(place: Coord<f64>) -> Coord<f64> {
    Coord {
        x: (place.x * 1e3).round() / 1e3,
        y: (place.y * 1e3).round() / 1e3,
    }
}

/// A piece grown within `area`, without what the growth meets beyond a gap.
fn reaching_under(piece: &MultiPolygon<f64>, area: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let meets = |polygon: &Polygon<f64>| !intersection(&polygon.clone().into(), piece).0.is_empty();
    intersection(&grow(piece, UNDERLAP), area)
        .into_iter()
        .filter(meets)
        .collect()
}
