//! The cloth that lies under thread once the fabric has pulled its stitches together.

use super::cloth::Cloth;
use super::fabric::Fabric;
use super::needle_points::NeedlePoints;
use crate::design::{StitchRole, THREAD_REACH, THREAD_SPREAD};
use crate::formats::dst::route::Way;
use geo::{Coord, Rect};
use hoopwright_geometry::measure::distance;

/// The side of a cell in mm, half the machine's own step.
pub(super) const CELL: f64 = 0.05;
/// Cells in a word of the map.
const WORD: i64 = 64;

/// Stitches that turn by less than this belong to one row; the cosine of 45 degrees.
const ROW_TURN: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Which cells are under thread.
pub(super) struct PulledCover {
    /// One bit a cell: 64 cells of a line to a word.
    cloth: Cloth<u64>,
    corner: Coord<f64>,
}

/// A row of cover stitches as it lies before the fabric pulls.
struct Row<'a> {
    places: &'a [Coord<f64>],
}

impl PulledCover {
    /// Lays all cover of a design: every row of stitches loses at both ends what `fabric` pulls.
    pub fn of(points: &NeedlePoints<'_>, bounds: Rect<f64>, fabric: Fabric) -> Self {
        let corner = points.corner();
        // The map is squeezed across: 64 cells are one.
        let mut cover = Self {
            cloth: Cloth::new(squeezed(bounds, corner), corner, CELL),
            corner,
        };
        let mut places: Vec<Coord<f64>> = Vec::new();
        for pair in points.all.windows(2) {
            let (from, to) = (&pair[0], &pair[1]);
            let covers = to.way == Way::Sewn && to.role == StitchRole::Cover;
            if !covers || from.object != to.object {
                cover.lay(&places, fabric);
                places.clear();
            }
            if covers {
                if places.is_empty() {
                    places.push(from.at);
                }
                places.push(to.at);
            }
        }
        cover.lay(&places, fabric);
        cover
    }

    /// Lays the rows of one chain of stitches.
    fn lay(&mut self, places: &[Coord<f64>], fabric: Fabric) {
        for row in rows(places) {
            row.lay(fabric.pull(), |from, to| self.stroke(from, to));
        }
    }

    /// Covers a strip from `from` to `to`, with square ends.
    fn stroke(&mut self, from: Coord<f64>, to: Coord<f64>) {
        let length = distance(from, to);
        if length <= 0.0 {
            return;
        }
        let along = (to - from) / length;
        let reach = Coord {
            x: (along.y * THREAD_REACH).abs(),
            y: (along.x * THREAD_REACH).abs(),
        };
        let top = from.y.min(to.y) - reach.y - self.corner.y;
        let bottom = from.y.max(to.y) + reach.y - self.corner.y;
        let first = (top / CELL - 0.5).ceil() as i64;
        let last = (bottom / CELL - 0.5).floor() as i64;
        for line in first..=last {
            let y = self.corner.y + (line as f64 + 0.5) * CELL - from.y;
            // Along the stitch from 0 to its length, aside of it as far as the thread reaches.
            let within = between(along.x, y * along.y, 0.0, length);
            let beside = between(-along.y, y * along.x, -THREAD_REACH, THREAD_REACH);
            let (left, right) = (within.0.max(beside.0), within.1.min(beside.1));
            if left <= right {
                self.cover(line, from.x + left, from.x + right);
            }
        }
    }

    /// Covers the cells of a line whose middles lie between two places.
    fn cover(&mut self, line: i64, left: f64, right: f64) {
        let (first, end) = self.cells(left, right);
        for (word, bits) in words(first, end) {
            if let Some(covered) = self.cloth.get_mut([word, line]) {
                *covered |= bits;
            }
        }
    }

    /// The cells of a line, from the first to the one after the last, whose middles lie between two
    /// places.
    pub fn cells(&self, left: f64, right: f64) -> (i64, i64) {
        let cell = |x: f64| ((x - self.corner.x) / CELL - 0.5).ceil() as i64;
        (cell(left), cell(right))
    }

    /// The stretches of a line, from cell `first` up to `end`, that lie bare: from the first cell to
    /// the one after the last.
    pub fn bare(&self, line: i64, first: i64, end: i64) -> Vec<(i64, i64)> {
        let mut bare: Vec<(i64, i64)> = Vec::new();
        for (word, asked) in words(first, end) {
            let mut left = asked & !self.cloth.get([word, line]);
            while left != 0 {
                let begin = left.trailing_zeros();
                let length = (left >> begin).trailing_ones();
                let from = word * WORD + i64::from(begin);
                let to = from + i64::from(length);
                match bare.last_mut() {
                    Some(last) if last.1 == from => last.1 = to,
                    _ => bare.push((from, to)),
                }
                let taken = begin + length;
                left = if taken < 64 {
                    left >> taken << taken
                } else {
                    0
                };
            }
        }
        bare
    }

    /// Where a cell begins, in mm.
    pub fn place(&self, cell: i64, line: i64) -> Coord<f64> {
        self.corner
            + Coord {
                x: cell as f64 * CELL,
                y: line as f64 * CELL,
            }
    }
}

impl Row<'_> {
    /// Hands over the row's stitches as they lie once it is `pull` mm shorter at both ends; what
    /// the weave hides is added to each.
    fn lay(&self, pull: f64, mut stroke: impl FnMut(Coord<f64>, Coord<f64>)) {
        let lengths: Vec<f64> = self
            .places
            .windows(2)
            .map(|s| distance(s[0], s[1]))
            .collect();
        let total: f64 = lengths.iter().sum();
        let mut before = 0.0;
        for (stitch, &length) in self.places.windows(2).zip(&lengths) {
            let first = (pull - before).max(0.0);
            let last = (pull - (total - before - length)).max(0.0);
            before += length;
            // What the fabric pulls at the row's ends, less what the weave hides at each end.
            let (begin, end) = (first - THREAD_SPREAD, length - last + THREAD_SPREAD);
            if first + last < length && begin < end {
                let along = (stitch[1] - stitch[0]) / length;
                stroke(stitch[0] + along * begin, stitch[0] + along * end);
            }
        }
    }
}

/// The rows of a chain of stitches: a row ends where the thread turns back.
fn rows(places: &[Coord<f64>]) -> impl Iterator<Item = Row<'_>> {
    let mut start = 0;
    (1..places.len()).filter_map(move |end| {
        let turns = end + 1 >= places.len() || {
            let (a, b) = (places[end] - places[end - 1], places[end + 1] - places[end]);
            let square = |v: Coord<f64>| v.x * v.x + v.y * v.y;
            a.x * b.x + a.y * b.y < ROW_TURN * (square(a) * square(b)).sqrt()
        };
        turns.then(|| {
            let row = Row {
                places: &places[start..=end],
            };
            start = end;
            row
        })
    })
}

/// The x with low <= slope * x + offset <= high.
fn between(slope: f64, offset: f64, low: f64, high: f64) -> (f64, f64) {
    if slope.abs() < 1e-12 {
        let holds = (low..=high).contains(&offset);
        let all = (f64::NEG_INFINITY, f64::INFINITY);
        return if holds { all } else { (all.1, all.0) };
    }
    let (one, two) = ((low - offset) / slope, (high - offset) / slope);
    (one.min(two), one.max(two))
}

/// The words that the cells from `first` up to `end` lie in, each with their bits.
fn words(first: i64, end: i64) -> impl Iterator<Item = (i64, u64)> {
    let (from, to) = (first.div_euclid(WORD), (end - 1).div_euclid(WORD));
    let words = if first < end { from..to + 1 } else { 0..0 };
    words.map(move |word| {
        let low = (first - word * WORD).clamp(0, WORD) as u32;
        let high = (end - word * WORD).clamp(0, WORD) as u32;
        let below = |bits: u32| {
            if bits >= 64 {
                u64::MAX
            } else {
                (1 << bits) - 1
            }
        };
        (word, below(high) & !below(low))
    })
}

/// Bounds for a map in which 64 cells across are one, and so far beyond that thread at the edge
/// finds room.
fn squeezed(bounds: Rect<f64>, corner: Coord<f64>) -> Rect<f64> {
    let across = |x: f64| corner.x + (x - corner.x) / WORD as f64;
    let more = 2.0 * CELL;
    let beyond = 2.0 * THREAD_REACH;
    let (least, greatest) = (bounds.min(), bounds.max());
    Rect::new(
        Coord {
            x: across(least.x - beyond) - more,
            y: least.y - beyond,
        },
        Coord {
            x: across(greatest.x + beyond) + more,
            y: greatest.y + beyond,
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::at;
    use proptest::prelude::*;

    #[test]
    fn a_row_ends_where_the_thread_turns_back() {
        let places = [
            (0., 0.),
            (4., 0.),
            (8., 0.1),
            (8., 0.3),
            (4., 0.3),
            (0., 0.3),
        ];
        let places = places.map(|(x, y)| at(x, y));
        let lengths: Vec<usize> = rows(&places).map(|row| row.places.len()).collect();
        assert_eq!(lengths, [3, 2, 3]);
    }

    #[test]
    fn a_row_loses_the_pull_at_both_ends_only() {
        let places = [at(0., 0.), at(4., 0.), at(8., 0.)];
        let row = Row { places: &places };
        let mut strokes = Vec::new();
        row.lay(0.45, |from, to| strokes.push((from.x, to.x)));
        let expected = [(0.35, 4.1), (3.9, 7.65)];
        for ((from, to), expected) in strokes.into_iter().zip(expected) {
            assert!((from - expected.0).abs() < 1e-9 && (to - expected.1).abs() < 1e-9);
        }
        // A stitch shorter than twice the pull covers nothing.
        let short = [at(0., 0.), at(0.8, 0.)];
        Row { places: &short }.lay(0.45, |_, _| panic!("nothing is left"));
    }

    proptest! {
        /// Bit by bit.
        #[test]
        fn words_hold_the_cells_asked_for(first in -200i64..200, length in 0i64..200) {
            let end = first + length;
            let mut cells = Vec::new();
            for (word, bits) in words(first, end) {
                cells.extend((0..WORD).filter(|bit| bits >> bit & 1 == 1).map(|bit| word * WORD + bit));
            }
            prop_assert_eq!(cells, (first..end).collect::<Vec<_>>());
        }

        /// A cell is bare where its middle lies in no strip: asked cell by cell.
        #[test]
        fn the_map_agrees_with_the_strip(
            x in 0.5..8.0f64, y in 0.5..8.0f64, u in 0.5..8.0f64, v in 0.5..8.0f64,
        ) {
            let (from, to) = (at(x, y), at(u, v));
            let corner = at(0., 0.);
            let bounds = Rect::new(at(0., 0.), at(9., 9.));
            let cloth = Cloth::new(squeezed(bounds, corner), corner, CELL);
            let mut cover = PulledCover { cloth, corner };
            cover.stroke(from, to);
            let length = distance(from, to);
            prop_assume!(length > 0.0);
            let along = (to - from) / length;
            for line in 0..180 {
                let bare: Vec<i64> = cover.bare(line, 0, 180).into_iter().flat_map(|(a, b)| a..b).collect();
                for cell in 0..180 {
                    let off = cover.place(cell, line) + at(CELL / 2.0, CELL / 2.0) - from;
                    let ahead = off.x * along.x + off.y * along.y;
                    let aside = (off.x * along.y - off.y * along.x).abs();
                    let clear = (ahead.min(length - ahead).abs() > 1e-6) && (aside - THREAD_REACH).abs() > 1e-6;
                    let inside = (0.0..=length).contains(&ahead) && aside <= THREAD_REACH;
                    prop_assert!(!clear || inside != bare.contains(&cell));
                }
            }
        }
    }
}
