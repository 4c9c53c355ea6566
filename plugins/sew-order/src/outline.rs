//! The edges of what an object covers, for measuring gaps.

use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{MultiPolygon, Rect, Simplify};

/// Edges are followed to within this, in mm: gaps are compared with millimetres.
const PRECISION: f64 = 0.03;

/// What an object covers, its edges thinned out.
pub(crate) struct Outline {
    pub edges: EdgeGrid,
    pub bounds: Rect<f64>,
}

impl Outline {
    /// The outline of `area`; nothing where it is empty.
    pub fn of(area: &MultiPolygon<f64>) -> Option<Self> {
        let edges = EdgeGrid::new(&area.simplify(PRECISION));
        let bounds = edges.bounds()?;
        Some(Self { edges, bounds })
    }
}
