//! Places along the lines laid so far, in a grid, so that a line's neighbours are found at once.

use hoopwright_sdk::geometry::geo::{Coord, Rect};
use hoopwright_sdk::geometry::measure::{greater, lesser};

/// No more cells than this, however large the region.
const MOST_CELLS: f64 = 4e6;

/// No entry.
const NONE: u32 = u32::MAX;

/// A line's places this many samples apart are not neighbours that crowd one another.
const SAME_STRETCH: i32 = 14;

/// A place on a line.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// Where.
    pub at: Coord<f64>,
    /// The line's direction there, a unit vector.
    pub dir: Coord<f64>,
    /// The line.
    pub line: u32,
    /// Its place along the line, from the seed: negative backward.
    pub place: i32,
}

/// All samples.
#[derive(Debug)]
pub struct Samples {
    all: Vec<Sample>,
    /// The sample put in the same cell before each.
    before: Vec<u32>,
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
            before: Vec::new(),
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
        self.all.len()
    }

    /// Adds one.
    pub fn push(&mut self, sample: Sample) {
        let cell = self.cell(sample.at);
        self.before.push(self.last[cell]);
        self.last[cell] = self.all.len() as u32;
        self.all.push(sample);
    }

    /// Takes the latest ones away again, down to `count`.
    pub fn shrink(&mut self, count: usize) {
        while self.all.len() > count {
            if let (Some(sample), Some(before)) = (self.all.pop(), self.before.pop()) {
                let cell = self.cell(sample.at);
                self.last[cell] = before;
            }
        }
    }

    /// Calls `see` with each sample within `reach` mm of a place, and a few more.
    pub fn around(&self, at: Coord<f64>, reach: f64, see: impl FnMut(&Sample)) {
        let reach = Coord { x: reach, y: reach };
        self.within(at - reach, at + reach, see);
    }

    /// Calls `see` with each sample between two corners, and a few more.
    fn within(&self, least: Coord<f64>, most: Coord<f64>, mut see: impl FnMut(&Sample)) {
        for row in self.row(least.y)..=self.row(most.y) {
            for column in self.column(least.x)..=self.column(most.x) {
                let mut next = self.last[row * self.columns + column];
                while next != NONE {
                    see(&self.all[next as usize]);
                    next = self.before[next as usize];
                }
            }
        }
    }

    /// Whether a place lies nearer than `limit` to a line, measured across that line. A line's own
    /// last stretch, given its number and the place along it, does not count.
    pub fn crowded(&self, at: Coord<f64>, limit: f64, own: Option<(u32, i32)>) -> bool {
        let mut crowded = false;
        self.around(at, limit, |sample| {
            let own_stretch = own.is_some_and(|(line, place)| {
                sample.line == line && (sample.place - place).abs() < SAME_STRETCH
            });
            if crowded || own_stretch {
                return;
            }
            let apart = at - sample.at;
            let along = apart.x * sample.dir.x + apart.y * sample.dir.y;
            let across = apart.x * sample.dir.y - apart.y * sample.dir.x;
            crowded = along.abs() <= self.spacing * 0.6 && across.abs() < limit;
        });
        crowded
    }

    /// How far from a place on a line the next line lies, and which that is, on the side where `across`, a unit
    /// vector square to the line, points, if within `reach` mm.
    pub fn gap(&self, at: Coord<f64>, across: Coord<f64>, reach: f64) -> Option<(f64, u32)> {
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
        self.within(least - aside, most + aside, |sample| {
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
        });
        nearest
    }
}
