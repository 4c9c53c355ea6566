//! A line measured along itself: what lies so many mm along it, and its parts.

use crate::measure::distance;
use geo::Coord;
use std::ops::Range;

/// A line with the length up to each of its corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    corners: Vec<Coord<f64>>,
    lengths: Vec<f64>,
}

impl Measured {
    /// The line through `corners`.
    pub fn new(corners: Vec<Coord<f64>>) -> Self {
        let lengths = cumulative(&corners);
        Self { corners, lengths }
    }

    /// Its corners.
    pub fn corners(&self) -> &[Coord<f64>] {
        &self.corners
    }

    /// How far along it each of its corners lies, in mm.
    pub fn lengths(&self) -> &[f64] {
        &self.lengths
    }

    /// How long it is, in mm.
    pub fn length(&self) -> f64 {
        self.lengths.last().copied().unwrap_or(0.0)
    }

    /// The place `at` mm along it; its ends where `at` lies beyond. Of a line without corners, the origin.
    pub fn place(&self, at: f64) -> Coord<f64> {
        if self.corners.is_empty() {
            return Coord::zero();
        }
        place(&self.corners, &self.lengths, at)
    }

    /// The corners that lie strictly between two places along it, by number.
    pub fn between(&self, from: f64, to: f64) -> Range<usize> {
        let first = self.lengths.partition_point(|&length| length <= from);
        let end = self.lengths.partition_point(|&length| length < to);
        first..end.max(first)
    }

    /// The line from one place along it to another that lies no less far along, both included; from and to
    /// its ends where they lie beyond.
    pub fn part(&self, from: f64, to: f64) -> Vec<Coord<f64>> {
        let (from, to) = (from.max(0.0), to.min(self.length()));
        let between = &self.corners[self.between(from, to)];
        let mut part = Vec::with_capacity(between.len() + 2);
        part.push(self.place(from));
        part.extend(between);
        part.push(self.place(to));
        part
    }
}

/// The length of a line up to each of its corners.
pub fn cumulative(corners: &[Coord<f64>]) -> Vec<f64> {
    let mut so_far = 0.0;
    let mut lengths = Vec::with_capacity(corners.len());
    for (i, &corner) in corners.iter().enumerate() {
        if i > 0 {
            so_far += distance(corners[i - 1], corner);
        }
        lengths.push(so_far);
    }
    lengths
}

/// The place `at` mm along a line, given its [`cumulative`] lengths; its ends where `at` lies beyond.
///
/// # Panics
/// When `corners` is empty.
pub fn place(corners: &[Coord<f64>], lengths: &[f64], at: f64) -> Coord<f64> {
    let next = lengths.partition_point(|&length| length < at);
    if next == 0 {
        return corners[0];
    }
    if next >= corners.len() {
        return corners[corners.len() - 1];
    }
    // A corner itself, not what arithmetic makes of it: closed lines close exactly.
    if lengths[next] == at {
        return corners[next];
    }
    let step = lengths[next] - lengths[next - 1];
    let fraction = if step > 0.0 {
        (at - lengths[next - 1]) / step
    } else {
        0.0
    };
    corners[next - 1] + (corners[next] - corners[next - 1]) * fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_part_has_the_corners_between_its_ends() {
        let line = Measured::new(vec![at(0., 0.), at(4., 0.), at(4., 3.), at(4., 5.)]);
        assert_eq!((line.length(), line.lengths()[2]), (9.0, 7.0));
        assert_eq!(
            line.part(1.0, 8.0),
            [at(1., 0.), at(4., 0.), at(4., 3.), at(4., 4.)]
        );
        // A corner at an end of the part is there once.
        assert_eq!(line.part(4.0, 7.0), [at(4., 0.), at(4., 3.)]);
        assert_eq!(line.part(-1.0, 99.0), line.corners());
        assert_eq!(line.part(2.0, 2.0), [at(2., 0.); 2]);
    }

    #[test]
    fn a_line_without_corners_has_no_length() {
        let nothing = Measured::new(Vec::new());
        assert_eq!((nothing.length(), nothing.place(3.0)), (0.0, at(0., 0.)));
    }
}
