//! The lines along which bare cloth is looked for, and where the cover hides them.

use crate::ground::frame::Frame;
use crate::ground::rows::Rows;
use crate::seam::NeedlePoint;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};
use hoopwright_sdk::geometry::measure::{distance, greater, lesser};
use hoopwright_sdk::{StitchRole, THREAD_REACH};

/// So many lines to each row: where a row is missing, what stays bare is narrower than the rows are
/// apart, and lies between lines no nearer together than they.
const TO_A_ROW: f64 = 3.0;

/// A thread hides this much to each side, as a share of the distance between rows: what it does where
/// rows lie 0.2 mm apart, at a density of 0.4, line 1 to line 3. A bound in mm for wider rows, which
/// small regions have too, left outline fills more cloth than it hid.
const HIDES: f64 = THREAD_REACH / 0.2;

/// Scan lines of a polygon, nearer together than its rows.
pub struct Lines<'a> {
    /// Turns the cloth so that the rows lie level.
    pub frame: &'a Frame,
    /// The lines.
    pub rows: Rows,
    /// How far to each side a thread hides the cloth, in mm.
    pub reach: f64,
}

impl<'a> Lines<'a> {
    /// Lines of `polygon`, whose rows lie `pitch` mm apart in `frame`; nothing where it has none.
    pub fn new(polygon: &Polygon<f64>, frame: &'a Frame, pitch: f64) -> Option<Self> {
        let rows = Rows::new(&frame.enter_polygon(polygon), pitch / TO_A_ROW)?;
        let reach = HIDES * pitch;
        Some(Self { frame, rows, reach })
    }
}

/// For each scan line, where the stitches of the cover hide it.
pub struct Hidden(Vec<Bands>);

/// Where one scan line is hidden.
#[derive(Clone, Debug, Default)]
struct Bands {
    /// From left to right, and apart once they are settled.
    bands: Vec<(f64, f64)>,
    /// Whether some have come since.
    unsettled: bool,
}

impl Bands {
    fn add(&mut self, band: (f64, f64)) {
        self.unsettled = true;
        // Stitches that follow one another hide the same lines: most bands meet the one before.
        match self.bands.last_mut() {
            Some(last) if band.0 <= last.1 && last.0 <= band.1 => *last = joined(*last, band),
            _ => self.bands.push(band),
        }
    }

    /// Puts the bands in order, and joins those that meet.
    fn settle(&mut self) {
        self.unsettled = false;
        self.bands.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.bands.dedup_by(|next, band| {
            let meets = next.0 <= band.1;
            if meets {
                *band = joined(*next, *band);
            }
            meets
        });
    }
}

impl Hidden {
    /// Where a line is hidden, from left to right.
    pub fn on(&self, row: usize) -> &[(f64, f64)] {
        &self.0[row].bands
    }

    /// What the cover among `points` hides.
    pub fn by(points: &[NeedlePoint], lines: &Lines) -> Self {
        let mut hidden = Self(vec![Bands::default(); lines.rows.count()]);
        for pair in points.windows(2) {
            if pair[1].role == StitchRole::Cover {
                hidden.add([pair[0].at, pair[1].at], lines);
            }
        }
        hidden.settle();
        hidden
    }

    /// Adds what a stitch hides.
    pub fn add(&mut self, stitch: [Coord<f64>; 2], lines: &Lines) {
        let rows = &lines.rows;
        let reach = lines.reach;
        let row_at = |y: f64| ((y - rows.y(0)) / rows.pitch()).max(0.0);
        let ends = stitch.map(|at| lines.frame.enter(at));
        let (top, bottom) = (lesser(ends[0].y, ends[1].y), greater(ends[0].y, ends[1].y));
        let swath = Swath::new(ends, reach);
        let first = row_at(top - reach).ceil() as usize;
        let last = (row_at(bottom + reach).floor() as usize).min(rows.count() - 1);
        for (row, hidden) in self.0.iter_mut().enumerate().take(last + 1).skip(first) {
            if let Some(band) = swath.on(rows.y(row)) {
                hidden.add(band);
            }
        }
    }

    /// Brings everything added in order.
    pub fn settle(&mut self) {
        let unsettled = self.0.iter_mut().filter(|hidden| hidden.unsettled);
        unsettled.for_each(Bands::settle);
    }
}

/// The cloth that a stitch hides: all that lies no farther from it than thread reaches.
pub struct Swath {
    ends: [Coord<f64>; 2],
    reach: f64,
    /// From the stitch to one side of what it hides.
    aside: Coord<f64>,
    /// From one end to the other.
    way: Coord<f64>,
}

impl Swath {
    /// What a stitch between `ends` hides with thread that reaches so far to each side, in mm.
    pub fn new(ends: [Coord<f64>; 2], reach: f64) -> Self {
        let way = ends[1] - ends[0];
        let long = distance(ends[0], ends[1]);
        let across = Coord {
            x: -way.y,
            y: way.x,
        };
        Self {
            ends,
            reach,
            aside: across * (reach / long.max(f64::MIN_POSITIVE)),
            way,
        }
    }

    /// The part of the line at `y` that is hidden.
    pub fn on(&self, y: f64) -> Option<(f64, f64)> {
        let mut band: Option<(f64, f64)> = None;
        let mut add = |left: f64, right: f64| {
            let here = (left, right);
            band = Some(band.map_or(here, |band| joined(band, here)));
        };
        for end in self.ends {
            let square = self.reach * self.reach - (y - end.y) * (y - end.y);
            if square >= 0.0 {
                let half = square.sqrt();
                add(end.x - half, end.x + half);
            }
        }
        // The two sides, where the stitch is not level.
        for aside in [self.aside, -self.aside] {
            let from = self.ends[0] + aside;
            let share = (y - from.y) / self.way.y;
            if (0.0..=1.0).contains(&share) {
                let x = from.x + self.way.x * share;
                add(x, x);
            }
        }
        band
    }
}

/// Everything from the left end of two bands to the right one.
fn joined(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (lesser(a.0, b.0), greater(a.1, b.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stitch_hides_a_band_with_round_ends() {
        let at = |x, y| Coord { x, y };
        let level = [at(0.0, 0.0), at(4.0, 0.0)];
        let level = Swath::new(level, 0.2);
        assert_eq!(level.on(0.0), Some((-0.2, 4.2)));
        assert_eq!(level.on(0.3), None);
        let upright = Swath::new([at(0.0, -5.0), at(0.0, 5.0)], 0.2);
        let (left, right) = upright.on(1.0).expect("a band");
        assert!((left + 0.2).abs() < 1e-12 && (right - 0.2).abs() < 1e-12);
    }
}
