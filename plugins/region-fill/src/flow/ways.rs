//! Travel between lines, where it can under lines that are still to be sewn.

use crate::flow::chains::Run;
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::THREAD_BODY;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Coord, Rect};
use hoopwright_sdk::geometry::measure::distance;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The squares of the map are this wide, in mm, or as wide as lines lie apart.
const SQUARE: f64 = 0.35;

/// A way over what is sewn already counts so many times.
const BARE: f64 = 8.0;

/// Straight stretches of a way are looked for over so many squares.
const SIGHT: usize = 40;

/// No more squares than this, however large the region.
const MOST_SQUARES: f64 = 1e6;

/// What lies no farther than this from a line, in mm, lies under its thread: half a thread's width. Nor
/// does what lies between two neighbouring lines show, farther apart though they be.
const HIDDEN: f64 = THREAD_BODY / 2.0;

/// So far from a line lies what is between it and the next, in spacings of samples.
const BETWEEN: f64 = 1.2;

/// The map goes on beyond the region by so many squares, and a way may begin so far away from it.
const RIM: i64 = 3;

/// A way may begin and end in so many squares.
const DOORS: usize = 4;

/// No square.
const NONE: u32 = u32::MAX;

/// A square of the map.
#[derive(Clone, Copy, Debug)]
struct Square {
    /// A place on one of the lines that pass it: one that is still to be sewn, if any is.
    at: Coord<f64>,
    /// How many places on lines here are still to be sewn.
    unsewn: u32,
    /// Whether any line passes it.
    passed: bool,
    /// Whether lines here were sewn since `at` was chosen.
    stale: bool,
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
pub struct Ways<'a> {
    edges: &'a EdgeGrid,
    lines: &'a Streamlines<'a>,
    /// Which samples of the lines are sewn.
    sewn: Vec<bool>,
    /// How near to a line lies what it covers, in mm.
    hidden: f64,
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
    pub fn new(bounds: Rect<f64>, lines: &'a Streamlines<'a>, edges: &'a EdgeGrid) -> Self {
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
            stale: false,
        };
        let mut ways = Self {
            edges,
            lines,
            sewn: vec![false; lines.samples.count()],
            hidden: HIDDEN.max(BETWEEN * lines.samples.spacing),
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

    /// Notes that a run is sewn.
    pub fn sew(&mut self, run: &Run) {
        for place in run.from.min(run.to)..=run.from.max(run.to) {
            self.sewn[self.lines.sample(run.line, place)] = true;
            if let Some(square) = self.square(self.lines.point(run.line, place)) {
                let square = &mut self.squares[square];
                square.unsewn = square.unsewn.saturating_sub(1);
                square.stale = true;
            }
        }
    }

    /// A place to pass a square at.
    fn pass(&mut self, square: usize) -> Coord<f64> {
        let Square { unsewn, stale, .. } = self.squares[square];
        if stale && unsewn > 0 {
            self.choose(square, None);
        }
        self.squares[square].at
    }

    /// Chooses anew where to pass a square: well inside it, at a place that is still to be sewn if there
    /// is any, and one that lies straight ahead `from` a place, if one is given. Whether there is such.
    fn choose(&mut self, square: usize, from: Option<Coord<f64>>) -> bool {
        let bare = self.squares[square].unsewn == 0;
        let corner = Coord {
            x: (self.first.1 + (square % self.columns) as i64) as f64,
            y: (self.first.0 + (square / self.columns) as i64) as f64,
        } * self.size;
        let half = self.size / 2.0;
        let middle = corner + Coord { x: half, y: half };
        let mut nearest: Option<(f64, Coord<f64>)> = None;
        self.lines.samples.around(middle, half, |i, sample| {
            let off = ways_off(sample.at, self.size);
            if (bare || !self.sewn[i])
                && nearest.is_none_or(|nearest| off < nearest.0)
                && self.square(sample.at) == Some(square)
                && from.is_none_or(|from| self.edges.first_meeting(from, sample.at).is_none())
            {
                nearest = Some((off, sample.at));
            }
        });
        if let Some((_, at)) = nearest {
            self.squares[square].at = at;
            self.squares[square].stale = false;
        }
        nearest.is_some()
    }

    /// The places to pass between two places inside the region, or nothing where the map shows
    /// no way (E. Dijkstra, 1959).
    pub fn way(&mut self, from: Coord<f64>, to: Coord<f64>) -> Option<Vec<Coord<f64>>> {
        let (first, last) = (self.doors(from), self.doors(to));
        // The second time as in a neck that is narrower than a square.
        let found = [false, true]
            .into_iter()
            .find_map(|patient| self.search(&first, &last, to, patient));
        let mut places = vec![to];
        let mut square = found?;
        loop {
            places.push(self.squares[square].at);
            let before = self.reached(square)?.from;
            if before == NONE {
                break;
            }
            square = before as usize;
        }
        places.push(from);
        places.reverse();
        Some(self.straighten(&places))
    }

    /// How much of a way through these places no line that is still to be sewn will cover, in mm.
    pub fn bare(&self, places: &[Coord<f64>]) -> f64 {
        let bare = |pair: &[Coord<f64>]| {
            let (from, way) = (pair[0], pair[1] - pair[0]);
            let steps = (distance(pair[0], pair[1]) / self.hidden).ceil().max(1.0);
            let open = (0..steps as usize)
                .filter(|&step| !self.hides(from + way * ((step as f64 + 0.5) / steps)))
                .count();
            distance(pair[0], pair[1]) * open as f64 / steps
        };
        places.windows(2).map(bare).sum()
    }

    /// How the search under way has reached a square.
    fn reached(&self, square: usize) -> Option<Reached> {
        let reached = self.reached[square];
        (reached.search == self.searches).then_some(reached)
    }

    /// Searches for the best way from one of the squares `first` to one of the squares `last`, which lie
    /// around the place `to`, and tells which that is. A `patient` search looks for another place in a
    /// square where an edge lies before the usual one.
    fn search(
        &mut self,
        first: &[(f64, usize)],
        last: &[(f64, usize)],
        to: Coord<f64>,
        patient: bool,
    ) -> Option<usize> {
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
        let mut open = BinaryHeap::new();
        for &(cost, square) in first {
            self.reached[square] = Reached {
                cost,
                from: NONE,
                search,
            };
            open.push(entry(cost, distance(self.squares[square].at, to), square));
        }
        while let Some((_, Reverse(bits), Reverse(square))) = open.pop() {
            let square = square as usize;
            if last.iter().any(|&(_, door)| door == square) {
                return Some(square);
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
                    let Square { unsewn, passed, .. } = self.squares[next];
                    if !passed || next == square {
                        continue;
                    }
                    let mut at = self.pass(next);
                    let weight = if unsewn > 0 { 1.0 } else { BARE };
                    let mut cost = so_far + distance(here, at) * weight;
                    let best = self.reached(next);
                    if best.is_some_and(|best| best.cost <= cost) {
                        continue;
                    }
                    if self.edges.first_meeting(here, at).is_some() {
                        // Where it was reached from must go on to lie straight ahead of it.
                        if !patient || best.is_some() || !self.choose(next, Some(here)) {
                            continue;
                        }
                        at = self.squares[next].at;
                        cost = so_far + distance(here, at) * weight;
                    }
                    self.reached[next] = Reached {
                        cost,
                        from: square as u32,
                        search,
                    };
                    open.push(entry(cost, distance(at, to), next));
                }
            }
        }
        None
    }

    /// The squares to enter the map by, the nearest first, and how far away each is. Several, because from
    /// one beside an edge there may be no way on.
    fn doors(&mut self, from: Coord<f64>) -> Vec<(f64, usize)> {
        let Some(square) = self.square(from) else {
            return Vec::new();
        };
        let around: Vec<usize> = self.around(square, RIM as usize).collect();
        let mut doors: Vec<(f64, usize)> = around
            .into_iter()
            .map(|square| (distance(self.pass(square), from), square))
            .collect();
        doors.sort_by(|a, b| a.0.total_cmp(&b.0));
        let in_sight = |door: &(f64, usize)| {
            let at = self.squares[door.1].at;
            self.edges.first_meeting(from, at).is_none()
        };
        doors.into_iter().filter(in_sight).take(DOORS).collect()
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

    /// Whether a line that is still to be sewn will cover a place.
    fn hides(&self, at: Coord<f64>) -> bool {
        let samples = &self.lines.samples;
        samples.any_around(at, self.hidden, |i, sample| {
            !self.sewn[i] && distance(sample.at, at) <= self.hidden
        })
    }

    fn straight(&self, a: Coord<f64>, b: Coord<f64>) -> bool {
        if self.edges.first_meeting(a, b).is_some() {
            return false;
        }
        let steps = (distance(a, b) / (self.size * 0.5)).ceil().max(1.0) as usize;
        (1..steps).all(|i| {
            let at = a + (b - a) * (i as f64 / steps as f64);
            self.hides(at)
        })
    }
}

/// What is still to be looked at in a search: the least first of what the whole way may cost, and of what
/// it costs so far. A number that is not negative compares as its bits do.
fn entry(cost: f64, hope: f64, square: usize) -> (Reverse<u64>, Reverse<u64>, Reverse<u32>) {
    let whole = (cost + hope).to_bits();
    (
        Reverse(whole),
        Reverse(cost.to_bits()),
        Reverse(square as u32),
    )
}

/// How far a place lies from the middle of its square, of the given size.
fn ways_off(at: Coord<f64>, size: f64) -> f64 {
    let off = |v: f64| (v / size - (v / size).floor() - 0.5).abs();
    off(at.x).max(off(at.y))
}
