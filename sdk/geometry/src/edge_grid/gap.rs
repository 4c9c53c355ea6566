//! How far areas lie apart.

use super::EdgeGrid;
use crate::measure::{between_boxes, between_edges, greater, lesser, to_edge};
use geo::Coord;

impl EdgeGrid {
    /// How far `place` lies from the area, in mm; 0 inside.
    pub fn gap_to(&self, place: Coord<f64>) -> f64 {
        if self.contains(place) {
            return 0.0;
        }
        let mut limit = between_boxes([place; 2], self.corners()) + 1.0;
        while limit.is_finite() {
            let mut least = f64::INFINITY;
            self.near(place, limit, |edge| {
                least = lesser(to_edge(place, edge.ends), least);
            });
            // Only what lies within the limit was looked at.
            if least <= limit {
                return least;
            }
            limit *= 2.0;
        }
        f64::INFINITY
    }

    /// How far two areas lie apart, in mm; 0 where they meet. It takes least time up to `guess` mm.
    pub fn gap(&self, other: &Self, guess: f64) -> f64 {
        if self.lies_in(other) || other.lies_in(self) {
            return 0.0;
        }
        let apart = between_boxes(self.corners(), other.corners());
        let mut limit = guess.max(apart).max(0.1);
        while limit.is_finite() {
            let least = self.least_gap(other, limit);
            // Only what lies within the limit was looked at.
            if least <= limit {
                return least;
            }
            limit *= 4.0;
        }
        f64::INFINITY
    }

    /// The least gap between edges; beyond `limit` it may say more than is so.
    fn least_gap(&self, other: &Self, limit: f64) -> f64 {
        let (mine, others) = (
            self.towards(other.corners(), limit),
            other.towards(self.corners(), limit),
        );
        let mut least = f64::INFINITY;
        for &edge in &mine {
            for &other in &others {
                if between_boxes(edge, other) < least {
                    least = lesser(between_edges(edge, other), least);
                }
            }
        }
        least
    }

    /// The edges no farther than `limit` mm from an upright rectangle, by two of its corners.
    fn towards(&self, corners: [Coord<f64>; 2], limit: f64) -> Vec<[Coord<f64>; 2]> {
        let edges = self.edges.iter().map(|edge| edge.ends);
        edges
            .filter(|&edge| between_boxes(edge, corners) <= limit)
            .collect()
    }

    /// Whether a polygon of this area has its first corner inside `other`. Where two areas meet and
    /// their edges do not cross, one of them has.
    fn lies_in(&self, other: &Self) -> bool {
        self.firsts.iter().any(|&corner| other.contains(corner))
    }

    /// Whether two areas overlap, or lie no more than `reach` mm apart.
    pub fn meets(&self, other: &Self, reach: f64) -> bool {
        let (few, many) = if self.edges.len() < other.edges.len() {
            (self, other)
        } else {
            (other, self)
        };
        let edges = few.edges.iter();
        edges.into_iter().any(|edge| many.passes(edge.ends, reach))
            // Where no edges meet, one area may lie inside the other.
            || few.firsts.iter().any(|&corner| many.part_at(corner).is_some())
            || many.firsts.iter().any(|&corner| few.part_at(corner).is_some())
    }

    /// Whether one of the area's edges lies no farther than `reach` mm from another edge.
    fn passes(&self, ends: [Coord<f64>; 2], reach: f64) -> bool {
        let [a, b] = ends;
        let (left, right) = (lesser(a.x, b.x) - reach, greater(a.x, b.x) + reach);
        let (top, bottom) = (lesser(a.y, b.y) - reach, greater(a.y, b.y) + reach);
        let apart = left > self.greatest.x
            || right < self.least.x
            || top > self.greatest.y
            || bottom < self.least.y;
        if self.edges.is_empty() || apart {
            return false;
        }
        self.cells_near(ends, reach).any(|cell| {
            let mut edges = cell.iter().map(|&number| &self.edges[number as usize]);
            edges.any(|edge| {
                let [c, d] = edge.ends;
                let beside = greater(c.x, d.x) < left
                    || lesser(c.x, d.x) > right
                    || greater(c.y, d.y) < top
                    || lesser(c.y, d.y) > bottom;
                !beside && between_edges(edge.ends, ends) <= reach
            })
        })
    }

    fn corners(&self) -> [Coord<f64>; 2] {
        [self.least, self.greatest]
    }
}
