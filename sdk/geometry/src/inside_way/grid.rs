//! The edges of an area in a grid, to be asked quickly what lies inside and what sees what.

use super::TOLERANCE;
use super::corners::cross;
use crate::measure::{distance, nearest_on};
use geo::{Coord, MultiPolygon};

/// The most cells along one side.
const MOST_CELLS: usize = 256;

#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub ends: [Coord<f64>; 2],
    pub part: usize,
}

impl Edge {
    /// The place on the edge nearest to `place`.
    pub fn nearest(&self, place: Coord<f64>) -> Coord<f64> {
        nearest_on(self.ends, place)
    }
}

#[derive(Debug)]
pub(super) struct Grid {
    edges: Vec<Edge>,
    least: Coord<f64>,
    /// Cells a mm.
    scale: Coord<f64>,
    across: usize,
    down: usize,
    /// The edges in each cell, row by row.
    cells: Vec<Vec<u32>>,
    /// The edges in each row.
    rows: Vec<Vec<u32>>,
}

impl Grid {
    /// The grid of a clean area.
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
                x: least.x.min(corner.x),
                y: least.y.min(corner.y),
            };
            greatest = Coord {
                x: greatest.x.max(corner.x),
                y: greatest.y.max(corner.y),
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
        let mut grid = Self {
            least,
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
            let columns = self.column(x.min(other) - TOLERANCE * 2.0)
                ..=self.column(x.max(other) + TOLERANCE * 2.0);
            for column in columns {
                visit(row, column);
            }
        }
    }

    /// The part in which `place` lies, its edge included.
    pub fn part_at(&self, place: Coord<f64>) -> Option<usize> {
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
    pub fn near(&self, place: Coord<f64>, reach: f64, mut visit: impl FnMut(&Edge)) {
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
    pub fn sees(&self, a: Coord<f64>, b: Coord<f64>) -> bool {
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
