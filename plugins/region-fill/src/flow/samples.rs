//! Places along the lines laid so far, in a grid, so that a line's neighbours are found at once.

use hoopwright_sdk::geometry::geo::{Coord, Rect};
use hoopwright_sdk::geometry::measure::{greater, lesser};

/// No more cells than this, however large the region.
const MOST_CELLS: f64 = 4e6;

/// No entry.
const NONE: u32 = u32::MAX;

/// Not in the grid.
const APART: u32 = u32::MAX - 1;

/// So many samples are kept together: one list of all of them would need twice the memory whenever it
/// grows.
const PACK: usize = 1 << 12;

/// A line's places this many samples apart are not neighbours that crowd one another.
const SAME_STRETCH: i32 = 14;

/// A place on a line.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// Where.
    pub at: Coord<f64>,
    /// The line's direction there, a unit vector: as exact as is needed across a gap.
    dir: [f32; 2],
    /// The line.
    pub line: u32,
    /// The sample put in the same cell before.
    before: u32,
}

/// A line under way: where its samples lie.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    /// The line's number.
    pub line: u32,
    /// The sample of its seed. Those ahead of the seed come next, and then those behind it.
    pub first: usize,
    /// How many lie ahead.
    pub ahead: usize,
}

impl Stretch {
    /// The place along the line, from the seed, of a sample of it: negative behind.
    pub fn place(&self, sample: usize) -> i32 {
        let on = sample - self.first;
        if on <= self.ahead {
            on as i32
        } else {
            -((on - self.ahead) as i32)
        }
    }
}

/// All samples.
#[derive(Debug)]
pub struct Samples {
    /// In packs, all of them full but the last.
    all: Vec<Vec<Sample>>,
    count: usize,
    /// The last sample put in each cell.
    last: Vec<u32>,
    origin: Coord<f64>,
    cell: f64,
    columns: usize,
    rows: usize,
    /// Samples of one line lie this far apart, in mm.
    pub spacing: f64,
}

impl Samples {
    /// None yet, within `bounds`, for lines about `pitch` mm apart.
    pub fn new(bounds: Rect<f64>, pitch: f64) -> Self {
        let cell = (bounds.width() * bounds.height() / MOST_CELLS)
            .sqrt()
            .max(pitch);
        let columns = (bounds.width() / cell) as usize + 1;
        let rows = (bounds.height() / cell) as usize + 1;
        Self {
            all: Vec::new(),
            count: 0,
            last: vec![NONE; columns * rows],
            origin: bounds.min(),
            cell,
            columns,
            rows,
            spacing: pitch / 2.0,
        }
    }

    fn column(&self, x: f64) -> usize {
        // A cast makes nothing of what lies before the first.
        (((x - self.origin.x) / self.cell) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.origin.y) / self.cell) as usize).min(self.rows - 1)
    }

    fn cell(&self, at: Coord<f64>) -> usize {
        self.row(at.y) * self.columns + self.column(at.x)
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.count
    }

    /// Where a sample lies.
    pub fn at(&self, sample: usize) -> Coord<f64> {
        self.sample(sample).at
    }

    fn sample(&self, i: usize) -> &Sample {
        &self.all[i / PACK][i % PACK]
    }

    /// Adds a place of a line, and the line's unit vector there.
    pub fn push(&mut self, at: Coord<f64>, dir: Coord<f64>, line: u32) {
        let cell = self.cell(at);
        let before = std::mem::replace(&mut self.last[cell], self.count as u32);
        let dir = [dir.x as f32, dir.y as f32];
        self.keep(Sample {
            at,
            dir,
            line,
            before,
        });
    }

    /// Adds a place where a line meets the edge, which crowds nothing.
    pub fn push_end(&mut self, at: Coord<f64>, line: u32) {
        self.keep(Sample {
            at,
            dir: [0.0; 2],
            line,
            before: APART,
        });
    }

    fn keep(&mut self, sample: Sample) {
        if self.count.is_multiple_of(PACK) {
            self.all.push(Vec::with_capacity(PACK));
        }
        if let Some(pack) = self.all.last_mut() {
            pack.push(sample);
            self.count += 1;
        }
    }

    /// Takes the latest ones away again, down to `count`.
    pub fn shrink(&mut self, count: usize) {
        while self.count > count {
            let Some(sample) = self.all.last_mut().and_then(Vec::pop) else {
                return;
            };
            self.count -= 1;
            if self.count.is_multiple_of(PACK) {
                self.all.pop();
            }
            if sample.before != APART {
                let cell = self.cell(sample.at);
                self.last[cell] = sample.before;
            }
        }
    }

    /// Calls `see` with each sample within `reach` mm of a place, and a few more.
    pub fn around(&self, at: Coord<f64>, reach: f64, mut see: impl FnMut(usize, &Sample)) {
        self.any_around(at, reach, |i, sample| {
            see(i, sample);
            false
        });
    }

    /// Whether `holds` is true of a sample within `reach` mm of a place, or of one of a few more.
    pub fn any_around(
        &self,
        at: Coord<f64>,
        reach: f64,
        holds: impl FnMut(usize, &Sample) -> bool,
    ) -> bool {
        let reach = Coord { x: reach, y: reach };
        self.any(at - reach, at + reach, holds)
    }

    /// How many cells the grid has.
    pub fn cells(&self) -> usize {
        self.last.len()
    }

    /// The cells with all samples within `reach` mm of a place.
    pub fn cells_around(&self, at: Coord<f64>, reach: f64) -> impl Iterator<Item = usize> + use<> {
        let (left, right) = (self.column(at.x - reach), self.column(at.x + reach));
        let columns = self.columns;
        let rows = self.row(at.y - reach)..=self.row(at.y + reach);
        rows.flat_map(move |row| row * columns + left..=row * columns + right)
    }

    /// The samples in a cell, with their numbers.
    pub fn in_cell(&self, cell: usize) -> impl Iterator<Item = (usize, &Sample)> {
        let mut next = self.last[cell];
        std::iter::from_fn(move || {
            (next != NONE).then(|| {
                let i = next as usize;
                let sample = self.sample(i);
                next = sample.before;
                (i, sample)
            })
        })
    }

    /// Whether `holds` is true of a sample between two corners, or of one of a few more.
    fn any(
        &self,
        least: Coord<f64>,
        most: Coord<f64>,
        mut holds: impl FnMut(usize, &Sample) -> bool,
    ) -> bool {
        // Plain loops: this is asked for every sample, and chained iterators take half as long again.
        let (left, right) = (self.column(least.x), self.column(most.x));
        for row in self.row(least.y)..=self.row(most.y) {
            let first = row * self.columns;
            for &last in &self.last[first + left..=first + right] {
                let mut next = last;
                while next != NONE {
                    let sample = self.sample(next as usize);
                    if holds(next as usize, sample) {
                        return true;
                    }
                    next = sample.before;
                }
            }
        }
        false
    }

    /// Whether a place lies nearer than `limit` to a line, measured across that line. A line's own
    /// last stretch, given with the place along it, does not count.
    pub fn crowded(&self, at: Coord<f64>, limit: f64, own: Option<(Stretch, i32)>) -> bool {
        let reach = Coord { x: limit, y: limit };
        self.any(at - reach, at + reach, |i, sample| {
            if let Some((stretch, place)) = own
                && sample.line == stretch.line
                && (stretch.place(i) - place).abs() < SAME_STRETCH
            {
                return false;
            }
            let apart = at - sample.at;
            let [x, y] = sample.dir.map(f64::from);
            let along = apart.x * x + apart.y * y;
            let across = apart.x * y - apart.y * x;
            along.abs() <= self.spacing * 0.6 && across.abs() < limit
        })
    }

    /// How far from a place on a line the next line lies, and which that is, on the side where `across`, a unit
    /// vector square to the line, points, if within `reach` mm. Of lines no farther than `enough` any will do.
    pub fn gap(
        &self,
        at: Coord<f64>,
        across: Coord<f64>,
        reach: f64,
        enough: f64,
    ) -> Option<(f64, u32)> {
        let mut nearest: Option<(f64, u32)> = None;
        // The box around the strip to look at, with room for rounding.
        let far = at + across * reach;
        let aside = |across: f64| across.abs() * self.spacing * 0.6 + 1e-9;
        let aside = Coord {
            x: aside(across.y),
            y: aside(across.x),
        };
        let least = Coord {
            x: lesser(at.x, far.x),
            y: lesser(at.y, far.y),
        };
        let most = Coord {
            x: greater(at.x, far.x),
            y: greater(at.y, far.y),
        };
        self.any(least - aside, most + aside, |_, sample| {
            let apart = sample.at - at;
            let away = apart.x * across.x + apart.y * across.y;
            let aside = apart.x * across.y - apart.y * across.x;
            if aside.abs() <= self.spacing * 0.6
                && away > self.spacing * 0.1
                && away <= reach
                && nearest.is_none_or(|nearest| away < nearest.0)
            {
                nearest = Some((away, sample.line));
            }
            nearest.is_some_and(|nearest| nearest.0 <= enough)
        });
        nearest
    }
}
