//! How a line is followed by straight stitches.

use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{distance, to_edge};
use hoopwright_sdk::geometry::resample::{cumulative, place as place_along};
use std::collections::BTreeMap;
use std::ops::Range;

/// The line is followed to within this, in mm.
const TOLERANCE: f64 = 0.08;

/// Stitches shorter than `shortest` are made only where the line would else be left by more, in mm.
pub const COARSE_TOLERANCE: f64 = 0.25;

/// Even there stitches are longer than this, in mm.
pub const LEAST: f64 = 0.6;

/// Corners that turn by more than this many degrees get a needle point,
const CORNER: f64 = 35.0;

/// ... as seen over this length to each side, in mm: small arcs are corners as well.
const ABOUT: f64 = 0.3;

/// A line with the length up to each corner.
pub struct Way<'a> {
    corners: &'a [Coord<f64>],
    lengths: Vec<f64>,
    /// How many corners lie before each whole mm: a place is looked for between two of these, and not
    /// along all of a line of some hundred metres.
    before: Vec<u32>,
}

impl<'a> Way<'a> {
    /// The way along a line of at least one place.
    pub fn new(corners: &'a [Coord<f64>]) -> Self {
        let lengths = cumulative(corners);
        let mut before = vec![0];
        for (corner, &length) in lengths.iter().enumerate() {
            while before.len() as f64 <= length {
                before.push(corner as u32);
            }
        }
        Self {
            corners,
            lengths,
            before,
        }
    }

    /// Corners such that all before these lie less far along the line than `at`, and all after these
    /// farther.
    fn about(&self, at: f64) -> Range<usize> {
        // A cast makes nothing of what lies before the first.
        let mm = at as usize;
        let before = |mm: usize| {
            self.before
                .get(mm)
                .map_or(self.corners.len(), |&corner| corner as usize)
        };
        before(mm)..before(mm + 1)
    }

    /// How many corners lie less far along the line than `at`, or also those there.
    fn up_to(&self, at: f64, there: bool) -> usize {
        let about = self.about(at);
        let lengths = &self.lengths[about.clone()];
        about.start + lengths.partition_point(|&length| length < at || (there && length == at))
    }

    /// The place `at` mm along the line.
    pub fn place(&self, at: f64) -> Coord<f64> {
        let about = self.about(at);
        // With the corners to either side.
        let about = about.start.saturating_sub(1)..(about.end + 1).min(self.corners.len());
        place_along(&self.corners[about.clone()], &self.lengths[about], at)
    }

    /// How far the line between two places strays from the straight stitch.
    pub fn sag(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (self.place(from), self.place(to));
        let (first, end) = (self.up_to(from, true), self.up_to(to, false));
        let away = |&p: &Coord<f64>| to_edge(p, [a, b]);
        self.corners[first..end.max(first)]
            .iter()
            .map(away)
            .fold(0.0, f64::max)
    }

    /// The longest step from a place that follows the line, and the shortest worth a stitch.
    pub fn steps(&self, from: f64, longest: f64, shortest: f64) -> (f64, f64) {
        let fits = |step: f64, tolerance: f64| self.sag(from, from + step) <= tolerance;
        let mut step = longest;
        while step > shortest && !fits(step, TOLERANCE) {
            step *= 0.85;
        }
        if step > shortest {
            return (step, shortest);
        }
        // Measured along the line, which is a little longer than the stitch.
        let wanted = shortest * 1.1;
        if fits(wanted, COARSE_TOLERANCE) {
            return (wanted, wanted);
        }
        let mut step = shortest;
        while step > LEAST && !fits(step, COARSE_TOLERANCE) {
            step *= 0.85;
        }
        (step.max(LEAST), LEAST)
    }

    /// Corners that get a needle point, both ends among them: the sharpest first, none that crowds
    /// another.
    pub fn fixed(&self, shortest: f64) -> Vec<f64> {
        let total = self.lengths[self.lengths.len() - 1];
        let mut sharp = Vec::new();
        for i in 1..self.corners.len() - 1 {
            let (here, at) = (self.corners[i], self.lengths[i]);
            let (from, to) = (self.place(at - ABOUT), self.place(at + ABOUT));
            let (before, after) = (here - from, to - here);
            let lengths = distance(from, here) * distance(here, to);
            if lengths > 0.0 {
                let cos = (before.x * after.x + before.y * after.y) / lengths;
                if cos < CORNER.to_radians().cos() {
                    sharp.push((cos, i));
                }
            }
        }
        sharp.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A number that is not negative compares as its bits do.
        let mut fixed = BTreeMap::from([(0u64, 0.0), (total.to_bits(), total)]);
        for (_, i) in sharp {
            let at = self.lengths[i];
            let crowds = |other: Option<(&u64, &f64)>| {
                other.is_some_and(|(_, &other)| {
                    (at - other).abs() < shortest
                        || distance(self.place(other), self.corners[i]) < LEAST
                })
            };
            let bits = at.to_bits();
            if !crowds(fixed.range(..=bits).next_back()) && !crowds(fixed.range(bits..).next()) {
                fixed.insert(bits, at);
            }
        }
        fixed.into_values().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As found along the whole line.
    #[test]
    fn a_place_is_found_where_the_line_has_it() {
        let steps = [0.0, 0.3, 0.7, 1.0, 0.0, 2.5, 0.25, 0.25, 7.0, 0.1];
        let mut x = 0.0;
        let corners: Vec<Coord<f64>> = steps
            .iter()
            .map(|step| {
                x += step;
                Coord { x, y: 1.0 }
            })
            .collect();
        let way = Way::new(&corners);
        for i in -10..150 {
            let at = f64::from(i) * 0.1;
            assert_eq!(
                way.place(at),
                place_along(&corners, &way.lengths, at),
                "{at}"
            );
            let lengths = || way.lengths.iter();
            assert_eq!(
                way.up_to(at, false),
                lengths().filter(|&&it| it < at).count()
            );
            assert_eq!(
                way.up_to(at, true),
                lengths().filter(|&&it| it <= at).count()
            );
        }
    }
}
