//! How far two objects lie apart on the cloth.

use hoopwright_sdk::geometry::geo::{
    BoundingRect, Contains, CoordsIter, LinesIter, MultiPolygon, Rect, Simplify,
};
use hoopwright_sdk::geometry::measure::{between_edges, greater, lesser, to_edge};
use hoopwright_sdk::prelude::*;

/// Edges are followed to within this, in mm: gaps are compared with millimetres.
const PRECISION: f64 = 0.03;

/// The edges of what an object covers, thinned out, for measuring gaps.
pub(crate) struct Outline {
    area: MultiPolygon<f64>,
    edges: Vec<[Coord<f64>; 2]>,
    pub bounds: Rect<f64>,
}

impl Outline {
    /// The outline of `area`; nothing where it is empty.
    pub fn of(area: &MultiPolygon<f64>) -> Option<Self> {
        let area = area.simplify(PRECISION);
        let bounds = area.bounding_rect()?;
        let edges = area.lines_iter().map(|line| [line.start, line.end]);
        Some(Self {
            edges: edges.collect(),
            bounds,
            area,
        })
    }

    /// How far `place` lies from the area; 0 inside.
    pub fn gap_to(&self, place: Coord<f64>) -> f64 {
        if self.bounds.contains(&place) && self.area.contains(&place) {
            return 0.0;
        }
        let gaps = self.edges.iter().map(|&edge| to_edge(place, edge));
        gaps.fold(f64::INFINITY, lesser)
    }

    /// How far two areas lie apart; 0 where they meet. It takes least time up to `guess` mm.
    pub fn gap(&self, other: &Self, guess: f64) -> f64 {
        if self.reaches_into(other) || other.reaches_into(self) {
            return 0.0;
        }
        let mut limit = guess.max(rects_apart(&self.bounds, &other.bounds)).max(0.1);
        while limit.is_finite() {
            let least = self.least_gap(other, limit, 0.0);
            // Only what lies within the limit was looked at.
            if least <= limit {
                return least;
            }
            limit *= 4.0;
        }
        f64::INFINITY
    }

    /// Whether two areas lie no more than `reach` mm apart.
    pub fn reaches(&self, other: &Self, reach: f64) -> bool {
        rects_apart(&self.bounds, &other.bounds) <= reach
            && (self.reaches_into(other)
                || other.reaches_into(self)
                || self.least_gap(other, reach, reach) <= reach)
    }

    /// The least gap between edges, or the first found that is small `enough`. Beyond `limit` it may
    /// say more than is so.
    fn least_gap(&self, other: &Self, limit: f64, enough: f64) -> f64 {
        let (mine, others) = (
            self.near(&other.bounds, limit),
            other.near(&self.bounds, limit),
        );
        let mut least = f64::INFINITY;
        for &edge in &mine {
            for &other in &others {
                if boxes_apart(edge, other) < least {
                    least = lesser(between_edges(edge, other), least);
                    if least <= enough {
                        return least;
                    }
                }
            }
        }
        least
    }

    /// Whether one of this area's polygons has its first corner inside `other`. Where two areas
    /// meet and their edges do not cross, one of them has.
    fn reaches_into(&self, other: &Self) -> bool {
        self.area
            .iter()
            .filter_map(|polygon| polygon.exterior().coords_iter().next())
            .any(|corner| other.bounds.contains(&corner) && other.area.contains(&corner))
    }

    fn near(&self, bounds: &Rect<f64>, limit: f64) -> Vec<[Coord<f64>; 2]> {
        let corners = [bounds.min(), bounds.max()];
        let near = |edge: &&[Coord<f64>; 2]| boxes_apart(**edge, corners) <= limit;
        self.edges.iter().filter(near).copied().collect()
    }
}

/// How far two rectangles lie apart; 0 where they meet.
pub(crate) fn rects_apart(a: &Rect<f64>, b: &Rect<f64>) -> f64 {
    boxes_apart([a.min(), a.max()], [b.min(), b.max()])
}

/// How far the rectangles lie apart that two pairs of opposite corners span.
fn boxes_apart([a, b]: [Coord<f64>; 2], [c, d]: [Coord<f64>; 2]) -> f64 {
    let along = |a: f64, b: f64, c: f64, d: f64| {
        let ahead = lesser(c, d) - greater(a, b);
        let behind = lesser(a, b) - greater(c, d);
        greater(greater(ahead, behind), 0.0)
    };
    let (x, y) = (along(a.x, b.x, c.x, d.x), along(a.y, b.y, c.y, d.y));
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Distance, Euclidean, polygon};
    use proptest::prelude::*;

    fn triangle(x: f64, y: f64, size: f64) -> MultiPolygon<f64> {
        polygon![(x: x, y: y), (x: x + size, y: y + 0.3 * size), (x: x + 0.2 * size, y: y + size)]
            .into()
    }

    proptest! {
        /// `geo` measures the same by its own algorithm.
        #[test]
        fn gaps_are_those_of_a_general_geometry_library(
            a in (0.0..20.0f64, 0.0..20.0f64, 0.5..12.0f64),
            b in (0.0..20.0f64, 0.0..20.0f64, 0.5..12.0f64),
        ) {
            let (a, b) = (triangle(a.0, a.1, a.2), triangle(b.0, b.1, b.2));
            let expected = Euclidean.distance(&a, &b);
            let (a, b) = (Outline::of(&a).expect("an area"), Outline::of(&b).expect("an area"));
            let found = a.gap(&b, 0.3);
            prop_assert!((found - expected).abs() < 1e-9, "{found} {expected}");
            prop_assert_eq!(a.reaches(&b, 0.3), expected <= 0.3);
        }
    }

    #[test]
    fn a_hole_keeps_what_lies_in_it_apart() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
            interiors: [[(x: 4., y: 4.), (x: 16., y: 4.), (x: 16., y: 16.), (x: 4., y: 16.)]],
        );
        let ring = Outline::of(&ring.into()).expect("an area");
        let inside = Outline::of(&triangle(8.0, 8.0, 2.0)).expect("an area");
        assert!((ring.gap(&inside, 5.0) - 4.0).abs() < 1e-9);
        assert_eq!(ring.gap_to(Coord { x: 2.0, y: 9.0 }), 0.0);
        assert_eq!(ring.gap_to(Coord { x: 10.0, y: 10.0 }), 6.0);
    }
}
