//! The edges of an area in a grid, to be asked quickly what lies inside, what lies near, how far areas lie
//! apart, and what sees what.

mod gap;
mod sight;

use crate::measure::{crossing, distance, greater, lesser, lies_right, nearest_on};
use geo::{Coord, MultiPolygon, Rect};

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

/// An area made ready to be asked many times: an answer about a place or a way takes about as long as there
/// are edges near, however many the area has; one about another area looks at each edge at least once.
/// Coordinates that are not finite give answers that mean nothing.
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
    /// The edges in each cell, row by row, in order.
    cells: Vec<Vec<u32>>,
    /// Whether each cell without edges lies inside.
    inside: Vec<bool>,
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
            inside: vec![false; side * side],
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
        grid.fill();
        grid
    }

    /// Finds which cells without edges lie inside, in each row from the right on.
    fn fill(&mut self) {
        for row in 0..self.down {
            for column in (0..self.across).rev() {
                let cell = row * self.across + column;
                if self.cells[cell].is_empty() {
                    let middle = Coord {
                        x: self.least.x + (column as f64 + 0.5) / self.scale.x,
                        y: self.least.y + (row as f64 + 0.5) / self.scale.y,
                    };
                    self.inside[cell] = self.lies_inside(middle, row, column + 1);
                }
            }
        }
    }

    /// The upright rectangle around the area; nothing where it is empty.
    pub fn bounds(&self) -> Option<Rect<f64>> {
        (!self.edges.is_empty()).then(|| Rect::new(self.least, self.greatest))
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
        self.edge_lies_within(place, reach) || self.part_at(place).is_some()
    }

    /// Whether an edge lies no farther than `reach` mm from `place`.
    pub fn edge_lies_within(&self, place: Coord<f64>, reach: f64) -> bool {
        let mut near = false;
        self.near(place, reach, |edge| {
            near = near || distance(edge.nearest(place), place) <= reach;
        });
        near
    }

    /// The part in which `place` lies, its edge included.
    pub(crate) fn part_at(&self, place: Coord<f64>) -> Option<usize> {
        if self.edges.is_empty() || !place.x.is_finite() || !place.y.is_finite() {
            return None;
        }
        let mut crossed: Vec<usize> = Vec::new();
        for &number in &self.rows[self.row(place.y)] {
            let edge = &self.edges[number as usize];
            if lies_right(edge.ends, place) {
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

    /// Whether `place` lies in the area; on its edge, it may or may not.
    pub fn contains(&self, place: Coord<f64>) -> bool {
        let within = |at: f64, least: f64, greatest: f64| least <= at && at <= greatest;
        within(place.x, self.least.x, self.greatest.x)
            && within(place.y, self.least.y, self.greatest.y)
            && self.lies_inside(place, self.row(place.y), self.column(place.x))
    }

    /// The same for a place in a row of cells, to the right of which no edge lies before the column `first`:
    /// an odd number of edges up to a cell without any parts the two.
    fn lies_inside(&self, place: Coord<f64>, row: usize, first: usize) -> bool {
        let mut inside = false;
        let mut before: &[u32] = &[];
        for cell in row * self.across + first..(row + 1) * self.across {
            let here = self.cells[cell].as_slice();
            if here.is_empty() {
                return inside != self.inside[cell];
            }
            // In a row, an edge passes cells side by side: it is new, or was in the one before.
            let new = here
                .iter()
                .filter(|edge| before.binary_search(edge).is_err());
            for &edge in new {
                inside ^= lies_right(self.edges[edge as usize].ends, place);
            }
            before = here;
        }
        inside
    }

    /// How far along the straight way from `a` to `b` it first meets an edge, from 0 to 1 as a share of it;
    /// nothing where it meets none.
    pub fn first_meeting(&self, a: Coord<f64>, b: Coord<f64>) -> Option<f64> {
        let mut first: Option<f64> = None;
        // Not all cells between the two: of a long way that leans, hardly any are on it.
        self.along([a, b], |row, column| {
            for &number in &self.cells[row * self.across + column] {
                let [c, d] = self.edges[number as usize].ends;
                if let Some([at, on_edge]) = crossing((a, b - a), (c, d - c))
                    && (0.0..=1.0).contains(&at)
                    && (0.0..=1.0).contains(&on_edge)
                    && first.is_none_or(|first| at < first)
                {
                    first = Some(at);
                }
            }
        });
        first
    }

    /// The edges whose upright rectangles meet the one that two of its corners span, each once and in
    /// order: all that the straight way from one corner to the other meets are among them.
    pub fn edges_near(&self, corners: [Coord<f64>; 2]) -> Vec<[Coord<f64>; 2]> {
        let mut numbers: Vec<u32> = self.cells_near(corners, 0.0).flatten().copied().collect();
        numbers.sort_unstable();
        numbers.dedup();
        let edges = numbers
            .iter()
            .map(|&number| self.edges[number as usize].ends);
        edges.filter(|&edge| meet(edge, corners)).collect()
    }

    /// Edges that may lie within `reach` of `place`; some come more than once.
    pub(crate) fn near(&self, place: Coord<f64>, reach: f64, mut visit: impl FnMut(&Edge)) {
        for cell in self.cells_near([place; 2], reach + TOLERANCE) {
            for &number in cell {
                visit(&self.edges[number as usize]);
            }
        }
    }

    /// The edges in each cell no farther than `reach` mm from an upright rectangle.
    fn cells_near(
        &self,
        [a, b]: [Coord<f64>; 2],
        reach: f64,
    ) -> impl Iterator<Item = &Vec<u32>> + '_ {
        let columns =
            self.column(lesser(a.x, b.x) - reach)..=self.column(greater(a.x, b.x) + reach);
        let rows = self.row(lesser(a.y, b.y) - reach)..=self.row(greater(a.y, b.y) + reach);
        rows.flat_map(move |row| {
            let cells = columns.clone();
            cells.map(move |column| &self.cells[row * self.across + column])
        })
    }
}

/// Whether the upright rectangles meet that two pairs of opposite corners span.
fn meet([a, b]: [Coord<f64>; 2], [c, d]: [Coord<f64>; 2]) -> bool {
    greater(a.x, b.x) >= lesser(c.x, d.x)
        && lesser(a.x, b.x) <= greater(c.x, d.x)
        && greater(a.y, b.y) >= lesser(c.y, d.y)
        && lesser(a.y, b.y) <= greater(c.y, d.y)
}

#[cfg(test)]
mod tests;
