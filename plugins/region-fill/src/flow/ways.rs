//! Travel between lines, where it can under lines that are still to be sewn.

use crate::flow::edges::Edges;
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// The squares of the map are this wide, in mm, or as wide as lines lie apart.
const SQUARE: f64 = 0.5;

/// A way over what is sewn already counts so many times.
const BARE: f64 = 8.0;

/// Straight stretches of a way are looked for over so many squares.
const SIGHT: usize = 40;

/// A square that lines pass.
#[derive(Clone, Copy, Debug)]
struct Square {
    /// A place on one of them.
    at: Coord<f64>,
    /// How many places on lines here are still to be sewn.
    unsewn: u32,
}

/// A map of the region in squares.
#[derive(Debug)]
pub struct Ways<'a> {
    edges: &'a Edges,
    size: f64,
    squares: BTreeMap<(i64, i64), Square>,
}

impl<'a> Ways<'a> {
    /// The map of a region in which all of `lines` are still to be sewn.
    pub fn new(lines: &Streamlines, edges: &'a Edges) -> Self {
        let mut ways = Self {
            edges,
            size: SQUARE.max(2.0 * lines.samples.spacing),
            squares: BTreeMap::new(),
        };
        for line in &lines.lines {
            // The ends lie on the edge itself.
            for &at in &line.points {
                let key = ways.key(at);
                let square = ways.squares.entry(key).or_insert(Square { at, unsewn: 0 });
                square.unsewn += 1;
                // A place well inside the square is safer to pass.
                if ways_off(at, ways.size) < ways_off(square.at, ways.size) {
                    square.at = at;
                }
            }
        }
        ways
    }

    fn key(&self, at: Coord<f64>) -> (i64, i64) {
        let place = |v: f64| (v / self.size).floor() as i64;
        (place(at.y), place(at.x))
    }

    /// Notes that lines are sewn along `points`.
    pub fn sew(&mut self, points: &[Coord<f64>]) {
        for &at in points {
            let key = self.key(at);
            if let Some(square) = self.squares.get_mut(&key) {
                square.unsewn = square.unsewn.saturating_sub(1);
            }
        }
    }

    /// The places to pass between two places inside the region, or nothing where the map shows
    /// no way (E. Dijkstra, 1959).
    pub fn way(&self, from: Coord<f64>, to: Coord<f64>) -> Option<Vec<Coord<f64>>> {
        let (first, last) = (self.enter(from)?, self.enter(to)?);
        let mut best: BTreeMap<(i64, i64), (f64, (i64, i64))> = BTreeMap::new();
        best.insert(first, (0.0, first));
        // A number that is not negative compares as its bits do.
        let mut open = BinaryHeap::from([(Reverse(0u64), Reverse(0u64), Reverse(first))]);
        while let Some((_, Reverse(bits), Reverse(key))) = open.pop() {
            if key == last {
                break;
            }
            let so_far = f64::from_bits(bits);
            if best.get(&key).is_some_and(|best| best.0 < so_far) {
                continue;
            }
            let here = self.squares.get(&key)?.at;
            for next in around(key, 1) {
                let Some(square) = self.squares.get(&next) else {
                    continue;
                };
                if next == key {
                    continue;
                }
                let weight = if square.unsewn > 0 { 1.0 } else { BARE };
                let cost = so_far + distance(here, square.at) * weight;
                if best.get(&next).is_some_and(|best| best.0 <= cost)
                    || self.edges.hit(here, square.at).is_some()
                {
                    continue;
                }
                best.insert(next, (cost, key));
                let hope = cost + distance(square.at, to);
                open.push((
                    Reverse(hope.to_bits()),
                    Reverse(cost.to_bits()),
                    Reverse(next),
                ));
            }
        }
        let mut places = vec![to];
        let mut key = last;
        loop {
            places.push(self.squares.get(&key)?.at);
            if key == first {
                break;
            }
            key = best.get(&key)?.1;
        }
        places.push(from);
        places.reverse();
        Some(self.straighten(&places))
    }

    /// The square to enter the map by.
    fn enter(&self, from: Coord<f64>) -> Option<(i64, i64)> {
        let mut nearest: Option<((i64, i64), f64)> = None;
        for key in around(self.key(from), 2) {
            if let Some(square) = self.squares.get(&key) {
                let away = distance(square.at, from);
                if nearest.is_none_or(|nearest| away < nearest.1)
                    && self.edges.hit(from, square.at).is_none()
                {
                    nearest = Some((key, away));
                }
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
        if self.edges.hit(a, b).is_some() {
            return false;
        }
        let steps = (distance(a, b) / (self.size * 0.5)).ceil().max(1.0) as usize;
        (1..steps).all(|i| {
            let at = a + (b - a) * (i as f64 / steps as f64);
            let square = self.squares.get(&self.key(at));
            square.is_some_and(|square| square.unsewn > 0)
        })
    }
}

/// How far a place lies from the middle of its square, of the given size.
fn ways_off(at: Coord<f64>, size: f64) -> f64 {
    let off = |v: f64| (v / size - (v / size).floor() - 0.5).abs();
    off(at.x).max(off(at.y))
}

fn around((row, column): (i64, i64), reach: i64) -> impl Iterator<Item = (i64, i64)> {
    (row - reach..=row + reach)
        .flat_map(move |row| (column - reach..=column + reach).map(move |column| (row, column)))
}
