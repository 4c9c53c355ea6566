//! Which parts of a straight way lie inside a region.

use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::measure::{cross, crossing};
use hoopwright_sdk::prelude::*;

/// A part of a straight way, as shares of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

impl Part {
    /// All of the way.
    pub const ALL: Self = Self { from: 0.0, to: 1.0 };

    /// How much of the way it is.
    pub fn length(self) -> f64 {
        self.to - self.from
    }
}

/// The parts of the straight way from `a` to `b` that lie inside a clean region, in order.
pub fn parts_inside(region: &EdgeGrid, a: Coord<f64>, b: Coord<f64>) -> Vec<Part> {
    let way = b - a;
    // Where the way passes the edge, and whether it comes in there: the region lies on the
    // left of each edge in coordinates.
    let mut passes: Vec<(f64, bool)> = Vec::new();
    for [from, to] in region.edges_near([a, b]) {
        let edge = to - from;
        if let Some([on_edge, on_way]) = crossing((from, edge), (a, way))
            && (0.0..1.0).contains(&on_edge)
            && (0.0..=1.0).contains(&on_way)
        {
            passes.push((on_way, cross(edge, way) > 0.0));
        }
    }
    passes.sort_by(|p, q| p.0.total_cmp(&q.0));
    let mut inside = match passes.first() {
        Some(first) => !first.1,
        None => region.contains((a + b) / 2.0),
    };
    let mut parts = Vec::new();
    let mut from = 0.0;
    for (at, comes_in) in passes {
        if inside && !comes_in {
            parts.push(Part { from, to: at });
        } else if !inside && comes_in {
            from = at;
        }
        inside = comes_in;
    }
    if inside {
        parts.push(Part { from, to: 1.0 });
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn comb() -> EdgeGrid {
        let corners = [
            (0., 0.),
            (20., 0.),
            (20., 5.),
            (15., 5.),
            (15., 2.),
            (10., 2.),
            (10., 5.),
            (0., 5.),
        ];
        let ring: geo::LineString<f64> = corners.map(|(x, y)| c(x, y)).into_iter().collect();
        let rings = [ring];
        EdgeGrid::new(&geometry::area::from_rings(
            rings,
            geometry::FillRule::EvenOdd,
        ))
    }

    #[test]
    fn a_way_over_a_bay_has_two_parts_inside() {
        let parts = parts_inside(&comb(), c(0.0, 4.0), c(20.0, 4.0));
        assert_eq!(parts.len(), 2, "{parts:?}");
        assert!((parts[0].to - 0.5).abs() < 1e-9 && (parts[1].from - 0.75).abs() < 1e-9);
        let upright = parts_inside(&comb(), c(12.0, 6.0), c(12.0, -1.0));
        assert_eq!(upright.len(), 1);
        assert!((upright[0].length() - 2.0 / 7.0).abs() < 1e-9);
    }

    #[test]
    fn a_way_that_meets_no_edge_is_inside_or_not() {
        assert_eq!(parts_inside(&comb(), c(1., 1.), c(14., 1.5)), [Part::ALL]);
        assert!(parts_inside(&comb(), c(11., 4.), c(14., 3.)).is_empty());
        assert!(parts_inside(&comb(), c(-5., 4.), c(-6., 3.)).is_empty());
    }

    #[test]
    fn nothing_is_inside_nothing() {
        let fence = EdgeGrid::new(&geo::MultiPolygon::new(Vec::new()));
        assert!(parts_inside(&fence, c(0., 0.), c(1., 1.)).is_empty());
    }
}
