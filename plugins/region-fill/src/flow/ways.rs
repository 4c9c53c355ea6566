//! Travel between lines, where it can under lines that are still to be sewn.

use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Coord, Rect};
use hoopwright_sdk::geometry::measure::distance;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The squares of the map are this wide, in mm, or as wide as lines lie apart.
const SQUARE: f64 = 0.5;

/// A way over what is sewn already counts so many times.
const BARE: f64 = 8.0;

/// Straight stretches of a way are looked for over so many squares.
const SIGHT: usize = 40;

/// No more squares than this, however large the region.
const MOST_SQUARES: f64 = 1e6;

/// The map goes on beyond the region by so many squares, and a way may begin so far away from it.
const RIM: i64 = 2;

/// No square.
const NONE: u32 = u32::MAX;

/// A square of the map.
#[derive(Clone, Copy, Debug)]
struct Square {
    /// A place on one of the lines that pass it.
    at: Coord<f64>,
    /// How many places on lines here are still to be sewn.
    unsewn: u32,
    /// Whether any line passes it.
    passed: bool,
}

/// How a square was reached in a search.
#[derive(Clone, Copy, Debug)]
struct Reached {
    cost: f64,
    /// The square before it.
    from: u32,
    /// The search that reached it.
    search: u32,
}

/// A map of the region in squares.
#[derive(Debug)]
pub struct Ways<'a> {
    edges: &'a EdgeGrid,
    size: f64,
    /// The first row and column.
    first: (i64, i64),
    rows: usize,
    columns: usize,
    squares: Vec<Square>,
    /// What the searches so far have reached.
    reached: Vec<Reached>,
    searches: u32,
}

impl<'a> Ways<'a> {
    /// The map of a region within `bounds` in which all of `lines` are still to be sewn.
    pub fn new(bounds: Rect<f64>, lines: &Streamlines, edges: &'a EdgeGrid) -> Self {
        let size = SQUARE
            .max(2.0 * lines.samples.spacing)
            .max((bounds.width() * bounds.height() / MOST_SQUARES).sqrt());
        let place = |v: f64| (v / size).floor() as i64;
        // With a rim, because the thread may come from beyond the edge.
        let first = (place(bounds.min().y) - RIM, place(bounds.min().x) - RIM);
        let rows = (place(bounds.max().y) - first.0 + 1 + RIM) as usize;
        let columns = (place(bounds.max().x) - first.1 + 1 + RIM) as usize;
        let empty = Square {
            at: bounds.min(),
            unsewn: 0,
            passed: false,
        };
        let mut ways = Self {
            edges,
            size,
            first,
            rows,
            columns,
            squares: vec![empty; rows * columns],
            reached: Vec::new(),
            searches: 0,
        };
        for (line, its) in lines.lines.iter().enumerate() {
            // The ends lie on the edge itself.
            for at in (0..its.count()).map(|place| lines.point(line, place)) {
                let Some(square) = ways.square(at) else {
                    continue;
                };
                let square = &mut ways.squares[square];
                square.unsewn += 1;
                // A place well inside the square is safer to pass.
                if !square.passed || ways_off(at, size) < ways_off(square.at, size) {
                    square.at = at;
                }
                square.passed = true;
            }
        }
        ways
    }

    /// The square of a place on the map.
    fn square(&self, at: Coord<f64>) -> Option<usize> {
        let place = |v: f64| (v / self.size).floor() as i64;
        let row = usize::try_from(place(at.y) - self.first.0).ok()?;
        let column = usize::try_from(place(at.x) - self.first.1).ok()?;
        (row < self.rows && column < self.columns).then_some(row * self.columns + column)
    }

    /// The squares that lines pass no more than `reach` rows and columns away from one.
    fn around(&self, square: usize, reach: usize) -> impl Iterator<Item = usize> + use<'_, 'a> {
        let (row, column) = (square / self.columns, square % self.columns);
        let rows = row.saturating_sub(reach)..=(row + reach).min(self.rows - 1);
        let columns = column.saturating_sub(reach)..=(column + reach).min(self.columns - 1);
        rows.flat_map(move |row| {
            columns
                .clone()
                .map(move |column| row * self.columns + column)
        })
        .filter(|&square| self.squares[square].passed)
    }

    /// Notes that lines are sewn along `points`.
    pub fn sew(&mut self, points: &[Coord<f64>]) {
        for &at in points {
            if let Some(square) = self.square(at) {
                let square = &mut self.squares[square];
                square.unsewn = square.unsewn.saturating_sub(1);
            }
        }
    }

    /// The places to pass between two places inside the region, or nothing where the map shows
    /// no way (E. Dijkstra, 1959).
    pub fn way(&mut self, from: Coord<f64>, to: Coord<f64>) -> Option<Vec<Coord<f64>>> {
        let (first, last) = (self.enter(from)?, self.enter(to)?);
        self.search(first, last, to);
        let mut places = vec![to];
        let mut square = last;
        loop {
            places.push(self.squares[square].at);
            if square == first {
                break;
            }
            square = self.reached(square)?.from as usize;
        }
        places.push(from);
        places.reverse();
        Some(self.straighten(&places))
    }

    /// How the search under way has reached a square.
    fn reached(&self, square: usize) -> Option<Reached> {
        let reached = self.reached[square];
        (reached.search == self.searches).then_some(reached)
    }

    /// Searches for the best way from one square to another, which holds the place `to`.
    fn search(&mut self, first: usize, last: usize, to: Coord<f64>) {
        if self.searches == 0 || self.searches == NONE {
            let never = Reached {
                cost: 0.0,
                from: NONE,
                search: 0,
            };
            self.reached = vec![never; self.squares.len()];
            self.searches = 0;
        }
        self.searches += 1;
        let search = self.searches;
        self.reached[first] = Reached {
            cost: 0.0,
            from: first as u32,
            search,
        };
        // A number that is not negative compares as its bits do.
        let mut open = BinaryHeap::from([(Reverse(0u64), Reverse(0u64), Reverse(first as u32))]);
        while let Some((_, Reverse(bits), Reverse(square))) = open.pop() {
            let square = square as usize;
            if square == last {
                break;
            }
            let so_far = f64::from_bits(bits);
            if self.reached(square).is_some_and(|best| best.cost < so_far) {
                continue;
            }
            let here = self.squares[square].at;
            let (row, column) = (square / self.columns, square % self.columns);
            for row in row.saturating_sub(1)..=(row + 1).min(self.rows - 1) {
                for column in column.saturating_sub(1)..=(column + 1).min(self.columns - 1) {
                    let next = row * self.columns + column;
                    let Square { at, unsewn, passed } = self.squares[next];
                    if !passed || next == square {
                        continue;
                    }
                    let weight = if unsewn > 0 { 1.0 } else { BARE };
                    let cost = so_far + distance(here, at) * weight;
                    if self.reached(next).is_some_and(|best| best.cost <= cost)
                        || self.edges.first_meeting(here, at).is_some()
                    {
                        continue;
                    }
                    self.reached[next] = Reached {
                        cost,
                        from: square as u32,
                        search,
                    };
                    let hope = cost + distance(at, to);
                    open.push((
                        Reverse(hope.to_bits()),
                        Reverse(cost.to_bits()),
                        Reverse(next as u32),
                    ));
                }
            }
        }
    }

    /// The square to enter the map by.
    fn enter(&self, from: Coord<f64>) -> Option<usize> {
        let mut nearest: Option<(usize, f64)> = None;
        for square in self.around(self.square(from)?, RIM as usize) {
            let at = self.squares[square].at;
            let away = distance(at, from);
            if nearest.is_none_or(|nearest| away < nearest.1)
                && self.edges.first_meeting(from, at).is_none()
            {
                nearest = Some((square, away));
            }
        }
        nearest.map(|nearest| nearest.0)
    }

    /// Leaves out what a straight move can pass by, no less hidden.
    fn straighten(&self, places: &[Coord<f64>]) -> Vec<Coord<f64>> {
        let mut way = Vec::new();
        let mut i = 0;
        while i < places.len() {
            way.push(places[i]);
            let far = (i + SIGHT).min(places.len() - 1);
            let next = (i + 2..=far)
                .rev()
                .find(|&k| self.straight(places[i], places[k]));
            i = next.unwrap_or(i + 1);
        }
        way
    }

    fn straight(&self, a: Coord<f64>, b: Coord<f64>) -> bool {
        if self.edges.first_meeting(a, b).is_some() {
            return false;
        }
        let steps = (distance(a, b) / (self.size * 0.5)).ceil().max(1.0) as usize;
        (1..steps).all(|i| {
            let at = a + (b - a) * (i as f64 / steps as f64);
            let square = self.square(at);
            square.is_some_and(|square| self.squares[square].unsewn > 0)
        })
    }
}

/// How far a place lies from the middle of its square, of the given size.
fn ways_off(at: Coord<f64>, size: f64) -> f64 {
    let off = |v: f64| (v / size - (v / size).floor() - 0.5).abs();
    off(at.x).max(off(at.y))
}
