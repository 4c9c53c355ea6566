//! The edges of an area in a grid, to be asked quickly what lies inside, what lies near, and what sees
//! what.

use crate::measure::{between_edges, distance, greater, lesser, nearest_on};
use geo::{Coord, MultiPolygon};

/// What lies no farther than this from an edge lies on it, in mm: a tenth of the step that this crate
/// tells places apart by.
pub(crate) const TOLERANCE: f64 = 1e-4;

/// The most cells along one side.
const MOST_CELLS: usize = 256;

/// One edge of an area.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub ends: [Coord<f64>; 2],
    /// The polygon that it belongs to.
    pub part: usize,
}

impl Edge {
    /// The place on the edge nearest to `place`.
    pub fn nearest(&self, place: Coord<f64>) -> Coord<f64> {
        nearest_on(self.ends, place)
    }
}

/// An area made ready to be asked many times: each answer takes about as long as there are edges near,
/// however many the area has. Coordinates that are not finite give answers that mean nothing.
#[derive(Debug)]
pub struct EdgeGrid {
    edges: Vec<Edge>,
    /// A corner of each part.
    firsts: Vec<Coord<f64>>,
    least: Coord<f64>,
    greatest: Coord<f64>,
    /// Cells a mm.
    scale: Coord<f64>,
    across: usize,
    down: usize,
    /// The edges in each cell, row by row.
    cells: Vec<Vec<u32>>,
    /// The edges in each row.
    rows: Vec<Vec<u32>>,
}

impl EdgeGrid {
    /// Makes `area` ready. Where its rings cross, what an odd number of them encloses lies inside; so it
    /// should be [clean](crate::clean).
    pub fn new(area: &MultiPolygon<f64>) -> Self {
        let mut edges = Vec::new();
        for (part, polygon) in area.iter().enumerate() {
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            for step in rings.flat_map(|ring| ring.0.windows(2)) {
                let ends = [step[0], step[1]];
                edges.push(Edge { ends, part });
            }
        }
        let mut least = Coord {
            x: f64::INFINITY,
            y: f64::INFINITY,
        };
        let mut greatest = least * -1.0;
        for corner in edges.iter().flat_map(|edge| edge.ends) {
            least = Coord {
                x: lesser(least.x, corner.x),
                y: lesser(least.y, corner.y),
            };
            greatest = Coord {
                x: greater(greatest.x, corner.x),
                y: greater(greatest.y, corner.y),
            };
        }
        let side = ((edges.len() as f64).sqrt().ceil() as usize).clamp(1, MOST_CELLS);
        let scale = |extent: f64| {
            if extent > 0.0 {
                side as f64 / extent
            } else {
                0.0
            }
        };
        let corners = area.iter().map(|polygon| polygon.exterior().0.first());
        let mut grid = Self {
            firsts: corners.flatten().copied().collect(),
            least,
            greatest,
            scale: Coord {
                x: scale(greatest.x - least.x),
                y: scale(greatest.y - least.y),
            },
            across: side,
            down: side,
            cells: vec![Vec::new(); side * side],
            rows: vec![Vec::new(); side],
            edges: Vec::new(),
        };
        for (number, edge) in edges.iter().enumerate() {
            let mut last_row = None;
            let mut found = Vec::new();
            grid.along(edge.ends, |row, column| found.push((row, column)));
            for (row, column) in found {
                grid.cells[row * side + column].push(number as u32);
                if last_row != Some(row) {
                    grid.rows[row].push(number as u32);
                    last_row = Some(row);
                }
            }
        }
        grid.edges = edges;
        grid
    }

    fn column(&self, x: f64) -> usize {
        // A cast holds what lies off the grid, and what is no number, within it.
        (((x - self.least.x) * self.scale.x) as usize).min(self.across - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.least.y) * self.scale.y) as usize).min(self.down - 1)
    }

    /// The cells that the straight line passes, or comes near to, row by row.
    fn along(&self, [a, b]: [Coord<f64>; 2], mut visit: impl FnMut(usize, usize)) {
        let (up, low) = if a.y <= b.y { (a, b) } else { (b, a) };
        let height = low.y - up.y;
        let x_at = |y: f64| up.x + (low.x - up.x) * ((y - up.y) / height).clamp(0.0, 1.0);
        let (first, last) = (
            self.row(up.y - TOLERANCE * 2.0),
            self.row(low.y + TOLERANCE * 2.0),
        );
        for row in first..=last {
            let (mut x, mut other) = (up.x, low.x);
            // A level line on the border of two rows passes all its columns in both.
            if height > 0.0 && first != last {
                // A little beyond the row, for what rounds to the other side of its edge.
                let edge = |row: usize| self.least.y + row as f64 / self.scale.y;
                x = x_at(edge(row) - TOLERANCE * 4.0);
                other = x_at(edge(row + 1) + TOLERANCE * 4.0);
            }
            let columns = self.column(lesser(x, other) - TOLERANCE * 2.0)
                ..=self.column(greater(x, other) + TOLERANCE * 2.0);
            for column in columns {
                visit(row, column);
            }
        }
    }

    /// Whether `place` lies in the area, or no farther than `reach` mm from its edge.
    pub fn reaches(&self, place: Coord<f64>, reach: f64) -> bool {
        let mut near = false;
        self.near(place, reach, |edge| {
            near = near || distance(edge.nearest(place), place) <= reach;
        });
        near || self.part_at(place).is_some()
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
        (self.row(top)..=self.row(bottom)).any(|row| {
            let cells = self.column(left)..=self.column(right);
            cells.into_iter().any(|column| {
                let numbers = &self.cells[row * self.across + column];
                let mut edges = numbers.iter().map(|&number| &self.edges[number as usize]);
                edges.any(|edge| {
                    let [c, d] = edge.ends;
                    let beside = greater(c.x, d.x) < left
                        || lesser(c.x, d.x) > right
                        || greater(c.y, d.y) < top
                        || lesser(c.y, d.y) > bottom;
                    !beside && between_edges(edge.ends, ends) <= reach
                })
            })
        })
    }

    /// The part in which `place` lies, its edge included.
    pub(crate) fn part_at(&self, place: Coord<f64>) -> Option<usize> {
        if self.edges.is_empty() || !place.x.is_finite() || !place.y.is_finite() {
            return None;
        }
        let mut crossed: Vec<usize> = Vec::new();
        for &number in &self.rows[self.row(place.y)] {
            let edge = &self.edges[number as usize];
            let [a, b] = edge.ends;
            if (a.y > place.y) != (b.y > place.y)
                && place.x < a.x + (b.x - a.x) * ((place.y - a.y) / (b.y - a.y))
            {
                // Each part that is crossed an odd number of times stays.
                match crossed.iter().position(|&part| part == edge.part) {
                    Some(at) => {
                        crossed.swap_remove(at);
                    }
                    None => crossed.push(edge.part),
                }
            }
        }
        if let Some(&part) = crossed.iter().min() {
            return Some(part);
        }
        let mut on_edge: Option<usize> = None;
        self.near(place, TOLERANCE, |edge| {
            if distance(edge.nearest(place), place) <= TOLERANCE {
                on_edge = Some(on_edge.map_or(edge.part, |part| part.min(edge.part)));
            }
        });
        on_edge
    }

    /// Edges that may lie within `reach` of `place`; some come more than once.
    pub(crate) fn near(&self, place: Coord<f64>, reach: f64, mut visit: impl FnMut(&Edge)) {
        if self.edges.is_empty() {
            return;
        }
        let reach = reach + TOLERANCE;
        for row in self.row(place.y - reach)..=self.row(place.y + reach) {
            for column in self.column(place.x - reach)..=self.column(place.x + reach) {
                for &number in &self.cells[row * self.across + column] {
                    visit(&self.edges[number as usize]);
                }
            }
        }
    }

    /// Whether the straight way from `a` to `b` stays inside; to run along the edge is inside.
    pub(crate) fn sees(&self, a: Coord<f64>, b: Coord<f64>) -> bool {
        let length = distance(a, b);
        if length <= TOLERANCE {
            return true;
        }
        let way = (b - a) / length;
        let mut blocked = false;
        // Where the way touches an edge; between two of them it is wholly inside or wholly outside.
        let mut cuts = vec![0.0, length];
        let along = |place: Coord<f64>| {
            let to = place - a;
            (to.x * way.x + to.y * way.y, cross(way, to))
        };
        self.along([a, b], |row, column| {
            if blocked {
                return;
            }
            for &number in &self.cells[row * self.across + column] {
                let [c, d] = self.edges[number as usize].ends;
                let ((at_c, off_c), (at_d, off_d)) = (along(c), along(d));
                if (off_c > TOLERANCE && off_d > TOLERANCE)
                    || (off_c < -TOLERANCE && off_d < -TOLERANCE)
                {
                    continue;
                }
                for (at, off) in [(at_c, off_c), (at_d, off_d)] {
                    if off.abs() <= TOLERANCE && at > 0.0 && at < length {
                        cuts.push(at);
                    }
                }
                if off_c.abs() <= TOLERANCE || off_d.abs() <= TOLERANCE {
                    continue;
                }
                // The edge's ends lie on both sides of the line.
                let at = at_c + (at_d - at_c) * (off_c / (off_c - off_d));
                let edge = distance(c, d);
                let (off_a, off_b) = (cross(d - c, a - c) / edge, cross(d - c, b - c) / edge);
                if at > 0.0 && at < length {
                    if off_a.abs() > TOLERANCE && off_b.abs() > TOLERANCE {
                        blocked = true;
                        return;
                    }
                    cuts.push(at);
                }
            }
        });
        if blocked {
            return false;
        }
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2).all(|piece| {
            piece[1] - piece[0] <= TOLERANCE * 4.0
                || self
                    .part_at(a + way * ((piece[0] + piece[1]) / 2.0))
                    .is_some()
        })
    }
}

/// The cross product of two vectors.
pub(crate) fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Contains, Distance, Euclidean, Point, polygon};
    use proptest::prelude::*;

    fn triangle([x, y, size]: [f64; 3]) -> MultiPolygon<f64> {
        polygon![(x: x, y: y), (x: x + size, y: y + 0.3 * size), (x: x + 0.2 * size, y: y + size)]
            .into()
    }

    fn ring(side: f64) -> MultiPolygon<f64> {
        polygon!(
            exterior: [(x: 0., y: 0.), (x: side, y: 0.), (x: side, y: side), (x: 0., y: side)],
            interiors: [[(x: 4., y: 4.), (x: side - 4., y: 4.), (x: side - 4., y: side - 4.), (x: 4., y: side - 4.)]],
        )
        .into()
    }

    proptest! {
        /// `geo` measures the same by its own algorithm.
        #[test]
        fn what_meets_is_what_a_general_geometry_library_finds(
            a in [0.0..20.0f64, 0.0..20.0, 0.5..12.0],
            b in [0.0..20.0f64, 0.0..20.0, 0.5..12.0],
            place in [-2.0..25.0f64, -2.0..25.0],
            reach in 0.01..3.0f64,
        ) {
            let (a, b) = (triangle(a), triangle(b));
            let (first, second) = (EdgeGrid::new(&a), EdgeGrid::new(&b));
            let apart = Euclidean.distance(&a, &b);
            prop_assume!((apart - reach).abs() > 1e-6);
            prop_assert_eq!(first.meets(&second, reach), apart <= reach);
            prop_assert_eq!(second.meets(&first, reach), apart <= reach);
            let place = Coord { x: place[0], y: place[1] };
            let away = Euclidean.distance(&a, &Point(place));
            prop_assume!((away - reach).abs() > 1e-6 && away != 0.0 || a.contains(&Point(place)));
            prop_assert_eq!(first.reaches(place, reach), away <= reach);
        }
    }

    #[test]
    fn what_lies_in_a_hole_is_apart_and_what_lies_in_the_area_is_not() {
        let ring = EdgeGrid::new(&ring(20.0));
        let in_hole = EdgeGrid::new(&triangle([8.0, 8.0, 3.0]));
        assert!(!ring.meets(&in_hole, 3.9) && ring.meets(&in_hole, 4.01));
        let inside = EdgeGrid::new(&triangle([1.0, 1.0, 1.0]));
        assert!(ring.meets(&inside, 0.0) && inside.meets(&ring, 0.0));
        assert!(ring.reaches(Coord { x: 2.0, y: 10.0 }, 0.0));
        assert!(!ring.reaches(Coord { x: 10.0, y: 10.0 }, 5.9));
    }

    #[test]
    fn nothing_meets_nothing() {
        let (nothing, some) = (
            EdgeGrid::new(&MultiPolygon::new(Vec::new())),
            EdgeGrid::new(&ring(20.0)),
        );
        assert!(
            !nothing.meets(&some, 5.0)
                && !some.meets(&nothing, 5.0)
                && !nothing.meets(&nothing, 5.0)
        );
        assert!(!nothing.reaches(Coord { x: 0.0, y: 0.0 }, 1.0));
    }
}
