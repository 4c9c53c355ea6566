//! A line measured along itself: what lies so many mm along it, and its parts.

mod ring;

pub use ring::Ring;

use crate::measure::{distance, nearest_on};
use geo::Coord;
use std::ops::Range;

/// A line with the length up to each of its corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    corners: Vec<Coord<f64>>,
    lengths: Vec<f64>,
    /// How many corners lie before each of as many equal pieces of the line as it has corners: a place is
    /// looked for in one of them, and not along all of a line of some hundred metres.
    before: Vec<u32>,
    /// Pieces a mm.
    scale: f64,
}

impl Measured {
    /// The line through `corners`.
    pub fn new(corners: Vec<Coord<f64>>) -> Self {
        let lengths = cumulative(&corners);
        let length = lengths.last().copied().unwrap_or(0.0);
        let mut line = Self {
            scale: if length > 0.0 {
                corners.len() as f64 / length
            } else {
                0.0
            },
            before: Vec::with_capacity(corners.len() + 1),
            corners,
            lengths,
        };
        for (corner, &at) in line.lengths.iter().enumerate() {
            let pieces = line.piece(at) + 1;
            line.before
                .resize(pieces.max(line.before.len()), corner as u32);
        }
        line
    }

    /// In which of the equal pieces the place `at` mm along it lies.
    fn piece(&self, at: f64) -> usize {
        // A cast makes nothing of what lies before the first, and of what is no number.
        ((at * self.scale) as usize).min(self.corners.len())
    }

    /// Corners such that all before these lie less far along it than `at`, and all after these farther.
    fn about(&self, at: f64) -> Range<usize> {
        let piece = self.piece(at);
        let before = |piece: usize| {
            let before = self.before.get(piece);
            before.map_or(self.corners.len(), |&corner| corner as usize)
        };
        before(piece)..before(piece + 1)
    }

    /// How many corners lie less far along it than `at`, or also those there.
    fn up_to(&self, at: f64, there: bool) -> usize {
        let about = self.about(at);
        let lengths = &self.lengths[about.clone()];
        about.start + lengths.partition_point(|&length| length < at || (there && length == at))
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
        let about = self.about(at);
        // With the corners to either side.
        let about = about.start.saturating_sub(1)..(about.end + 1).min(self.corners.len());
        place(&self.corners[about.clone()], &self.lengths[about], at)
    }

    /// The corners that lie strictly between two places along it, by number.
    pub fn between(&self, from: f64, to: f64) -> Range<usize> {
        let (first, end) = (self.up_to(from, true), self.up_to(to, false));
        first..end.max(first)
    }

    /// The length of the chord between two places along it, in mm.
    pub fn chord(&self, from: f64, to: f64) -> f64 {
        distance(self.place(from), self.place(to))
    }

    /// The farthest that it strays from the chord between two places along it, in mm.
    pub fn sag(&self, from: f64, to: f64) -> f64 {
        let corners = self.between(from, to);
        // Most chords of a straight line have no corner between, and need no places.
        if corners.is_empty() {
            return 0.0;
        }
        let chord = [self.place(from), self.place(to)];
        let mut farthest = 0.0;
        for &corner in &self.corners[corners] {
            let off = corner - nearest_on(chord, corner);
            let square = off.x * off.x + off.y * off.y;
            // Not `max`: in a guest that is a call.
            if square > farthest {
                farthest = square;
            }
        }
        farthest.sqrt()
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

    /// As found along the whole line.
    #[test]
    fn a_place_is_found_where_the_line_has_it() {
        let steps = [0.0, 0.3, 0.7, 1.0, 0.0, 2.5, 0.25, 0.25, 7.0, 0.1];
        let mut x = 0.0;
        let corners: Vec<Coord<f64>> = steps
            .iter()
            .map(|step| {
                x += step;
                at(x, 1.0)
            })
            .collect();
        let line = Measured::new(corners.clone());
        for i in -100..1500 {
            let at = f64::from(i) * 0.01;
            assert_eq!(line.place(at), place(&corners, &line.lengths, at), "{at}");
            let lengths = || line.lengths.iter();
            let less = lengths().filter(|&&it| it < at).count();
            let no_more = lengths().filter(|&&it| it <= at).count();
            assert_eq!(
                (line.up_to(at, false), line.up_to(at, true)),
                (less, no_more)
            );
        }
    }

    #[test]
    fn a_line_without_corners_has_no_length() {
        let nothing = Measured::new(Vec::new());
        assert_eq!((nothing.length(), nothing.place(3.0)), (0.0, at(0., 0.)));
    }
}
