//! A line of the artwork, measured along its length.

use geometry::measure::{distance, nearest_fraction};
use geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// A line under this long has no inside to join anything to, in mm.
const SHORTEST: f64 = 0.02;

/// A place farther out than this, in mm, is no drawing's: a kilometre. A line that has one stays
/// as it is.
const FARTHEST: f64 = 1e6;

/// A line, measured. No corner repeats the one before it; the
/// last corner of a closed line is its first again.
#[derive(Clone, Debug)]
pub struct Line {
    /// Which object it belongs to: its place in the design.
    pub object: usize,
    /// Which of the object's paths it is.
    pub path: usize,
    /// Whether it comes round.
    pub closed: bool,
    measured: Measured,
}

impl Line {
    /// The line of a path, or nothing where it has no length.
    pub fn new(object: usize, path: usize, drawn: &Polyline) -> Option<Self> {
        let mut corners: Vec<Coord<f64>> = drawn
            .corners()
            .filter(|corner| corner.x.is_finite() && corner.y.is_finite())
            .collect();
        if drawn.closed {
            corners.extend(corners.first().copied());
        }
        corners.dedup();
        let on_the_map = |at: &Coord<f64>| at.x.abs() <= FARTHEST && at.y.abs() <= FARTHEST;
        if !corners.iter().all(on_the_map) {
            return None;
        }
        // An open path that ends exactly where it begins is a ring, however it was written.
        let closed = corners.len() > 3 && corners.first() == corners.last();
        let measured = Measured::new(corners);
        (measured.length() >= SHORTEST).then_some(Self {
            object,
            path,
            closed,
            measured,
        })
    }

    /// Its corners.
    pub fn corners(&self) -> &[Coord<f64>] {
        self.measured.corners()
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        self.measured.length()
    }

    /// The number of its straight pieces.
    pub fn pieces(&self) -> usize {
        self.corners().len() - 1
    }

    /// The ends of a straight piece.
    pub fn piece(&self, i: usize) -> [Coord<f64>; 2] {
        [self.corners()[i], self.corners()[i + 1]]
    }

    /// How far along the line a place on a straight piece lies, from 0 to 1 along the piece.
    pub fn along(&self, piece: usize, fraction: f64) -> f64 {
        let lengths = self.measured.lengths();
        let [from, to] = [lengths[piece], lengths[piece + 1]];
        if fraction >= 1.0 {
            to
        } else {
            from + (to - from) * fraction
        }
    }

    /// The place so many mm along the line.
    pub fn place(&self, at: f64) -> Coord<f64> {
        self.measured.place(at)
    }

    /// The same place, counted from 0 up to the length where the line comes round.
    pub fn round(&self, at: f64) -> f64 {
        if self.closed {
            at.rem_euclid(self.length())
        } else {
            at
        }
    }

    /// How far apart two places are along the line, the shorter way round if it is closed.
    pub fn apart(&self, a: f64, b: f64) -> f64 {
        let apart = (a - b).abs();
        if self.closed {
            apart.min(self.length() - apart)
        } else {
            apart
        }
    }

    /// The line from one place to another that lies farther along; on a closed line, past the
    /// first corner where it does not.
    pub fn part(&self, from: f64, to: f64) -> Vec<Coord<f64>> {
        let mut part;
        if from < to || !self.closed {
            part = self.measured.part(from, to);
        } else {
            part = self.measured.part(from, self.length());
            part.extend(self.measured.part(0.0, to));
        }
        part.dedup();
        part
    }
}

/// The place on a straight piece nearest to `p`: how far along it, from 0 to 1, and how far away.
pub fn nearest_on([a, b]: [Coord<f64>; 2], p: Coord<f64>) -> (f64, f64) {
    let along = nearest_fraction([a, b], p);
    (along, distance(p, a + (b - a) * along))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring() -> Line {
        let corners = [(0., 0.), (4., 0.), (4., 4.), (0., 4.)];
        let corners = corners.map(|(x, y)| Coord { x, y });
        Line::new(0, 0, &Polyline::new(corners, true)).expect("it has a length")
    }

    #[test]
    fn a_part_of_a_ring_goes_past_its_first_corner() {
        let part = ring().part(14.0, 2.0);
        let xy: Vec<(f64, f64)> = part.iter().map(|c| (c.x, c.y)).collect();
        assert_eq!(xy, [(0., 2.), (0., 0.), (2., 0.)]);
        assert_eq!(ring().part(2.0, 2.0).len(), 6);
        assert_eq!(ring().apart(15.0, 1.0), 2.0);
    }

    #[test]
    fn a_line_without_length_is_none() {
        for corners in [
            vec![],
            vec![(0., 0.)],
            vec![(0., 0.), (0., 0.)],
            vec![(f64::NAN, 1.)],
        ] {
            let corners = corners.into_iter().map(|(x, y)| Coord { x, y });
            assert!(Line::new(0, 0, &Polyline::new(corners, false)).is_none());
        }
    }
}
