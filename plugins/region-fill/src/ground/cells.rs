//! The cells of a region: stacks of spans that lie one over the other without a fork between.
//!
//! This is the boustrophedon decomposition (H. Choset and P. Pignon, "Coverage path planning: the
//! boustrophedon cellular decomposition", 1997), read off the scan lines.

use crate::ground::links::{Link, Side};
use crate::ground::rows::Rows;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::reach;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A way from a cell to a neighbour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Door {
    /// The place of its link.
    pub link: usize,
    /// The cell on the other side.
    pub to: usize,
    /// On which side of this cell it lies.
    pub side: Side,
    /// On which side of the other cell it lies.
    pub far_side: Side,
}

/// A stack of spans with doors above and below.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// From the top.
    pub spans: Vec<usize>,
    /// In a fixed order.
    pub doors: Vec<Door>,
}

/// A polygon's cells.
#[derive(Debug)]
pub struct Cells {
    /// From the top.
    pub cells: Vec<Cell>,
    /// The cell of each span.
    pub of: Vec<usize>,
    /// The place in its cell of each span.
    pub place: Vec<usize>,
}

impl Cells {
    /// Stacks the spans of `rows`.
    pub fn new(rows: &Rows, links: &[Link]) -> Self {
        let count = rows.spans().len();
        let mut above = vec![Vec::new(); count];
        let mut below = vec![Vec::new(); count];
        for (i, link) in links.iter().enumerate() {
            for end in link.ends {
                match end.side {
                    Side::Above => above[end.span].push(i),
                    Side::Below => below[end.span].push(i),
                }
            }
        }
        // The span that goes on below, where the two are one another's only neighbours.
        let next = |span: usize| -> Option<usize> {
            let [only] = below[span][..] else { return None };
            let under = links[only].ends[1].span;
            (links[only].bridge.is_none() && above[under].len() == 1).then_some(under)
        };
        let mut cells = Vec::new();
        let (mut of, mut place) = (vec![usize::MAX; count], vec![0; count]);
        for first in 0..count {
            if of[first] != usize::MAX {
                continue;
            }
            // Spans come from the top, so what has no cell yet begins one.
            let mut cell = Cell::default();
            let mut span = Some(first);
            while let Some(here) = span {
                of[here] = cells.len();
                place[here] = cell.spans.len();
                cell.spans.push(here);
                span = next(here);
            }
            cells.push(cell);
        }
        for (i, link) in links.iter().enumerate() {
            let [a, b] = link.ends;
            let (cell_a, cell_b) = (of[a.span], of[b.span]);
            if cell_a == cell_b {
                continue;
            }
            cells[cell_a].doors.push(Door {
                link: i,
                to: cell_b,
                side: a.side,
                far_side: b.side,
            });
            cells[cell_b].doors.push(Door {
                link: i,
                to: cell_a,
                side: b.side,
                far_side: a.side,
            });
        }
        Self { cells, of, place }
    }

    /// The span at the `side` end of a cell.
    pub fn end(&self, cell: usize, side: Side) -> usize {
        let spans = &self.cells[cell].spans;
        match side {
            Side::Above => spans[0],
            Side::Below => spans[spans.len() - 1],
        }
    }

    /// The links to pass, in order, on a short way from a cell to another (E. Dijkstra, 1959; a
    /// cell counts as long as it is high and wide), or nothing where none leads there.
    pub fn way(&self, rows: &Rows, from: usize, to: usize) -> Option<Vec<usize>> {
        let cost = |cell: usize| {
            let spans = &self.cells[cell].spans;
            let (first, last) = (rows.spans()[spans[0]], rows.spans()[spans[spans.len() - 1]]);
            let across = (first.left + first.right - last.left - last.right) / 2.0;
            let wide = (first.right - first.left).min(last.right - last.left) / 2.0;
            let down = spans.len() as f64 * rows.pitch();
            reach(Coord { x: across, y: down }) + wide
        };
        let mut came: Vec<Option<(usize, usize)>> = vec![None; self.cells.len()];
        let mut best = vec![f64::INFINITY; self.cells.len()];
        best[from] = 0.0;
        // A number that is not negative compares as its bits do.
        let mut open = BinaryHeap::from([(Reverse(0u64), Reverse(from))]);
        while let Some((Reverse(bits), Reverse(cell))) = open.pop() {
            let so_far = f64::from_bits(bits);
            if cell == to {
                break;
            }
            if so_far > best[cell] {
                continue;
            }
            for door in &self.cells[cell].doors {
                let there = so_far + if door.to == to { 0.0 } else { cost(door.to) };
                if there < best[door.to] {
                    best[door.to] = there;
                    came[door.to] = Some((cell, door.link));
                    open.push((Reverse(there.to_bits()), Reverse(door.to)));
                }
            }
        }
        let mut way = Vec::new();
        let mut cell = to;
        while cell != from {
            let (before, link) = came[cell]?;
            way.push(link);
            cell = before;
        }
        way.reverse();
        Some(way)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::links::links;
    use hoopwright_sdk::geometry::geo::{Polygon, polygon};

    fn cells_of(polygon: &Polygon<f64>) -> (Rows, Cells) {
        let rows = Rows::new(polygon, 0.2).expect("it has rows");
        let cells = Cells::new(&rows, &links(&rows, polygon));
        (rows, cells)
    }

    /// A hole gives four cells: over it, left, right, under it (Choset, 1997, figure 2).
    #[test]
    fn a_hole_gives_four_cells() {
        let (rows, cells) = cells_of(&polygon!(
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
            interiors: [[(x: 3., y: 3.), (x: 6., y: 3.), (x: 6., y: 6.), (x: 3., y: 6.)]],
        ));
        assert_eq!(cells.cells.len(), 4);
        let doors: Vec<usize> = cells.cells.iter().map(|cell| cell.doors.len()).collect();
        assert_eq!(doors, [2, 2, 2, 2]);
        let sewn: usize = cells.cells.iter().map(|cell| cell.spans.len()).sum();
        assert_eq!(sewn, rows.spans().len());
    }

    #[test]
    fn a_short_way_leads_from_cell_to_cell() {
        let (rows, cells) = cells_of(&polygon![
            (x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 6., y: 9.), (x: 6., y: 3.), (x: 3., y: 3.),
            (x: 3., y: 9.), (x: 0., y: 9.)
        ]);
        assert_eq!(cells.cells.len(), 3);
        let way = cells.way(&rows, 1, 2).expect("they hang together");
        assert_eq!(way.len(), 2);
        assert_eq!(cells.way(&rows, 1, 1), Some(vec![]));
    }
}
