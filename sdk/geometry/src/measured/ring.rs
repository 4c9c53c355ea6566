//! A closed line measured along itself.

use super::Measured;
use crate::measure::{distance, nearest_fraction};
use geo::{Coord, LineString};

/// A closed line with the length up to each of its corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring(
    /// Its last corner is the first again.
    Measured,
);

impl Ring {
    /// The ring along a closed line, or nothing where that has no length.
    pub fn new(line: &LineString<f64>) -> Option<Self> {
        let mut corners = line.0.clone();
        corners.dedup();
        if corners.first() != corners.last() {
            corners.extend(corners.first().copied());
        }
        let ring = Self(Measured::new(corners));
        (ring.length() > 0.0).then_some(ring)
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        self.0.length()
    }

    /// The corners in order; the last is the first again.
    pub fn corners(&self) -> &[Coord<f64>] {
        self.0.corners()
    }

    /// How far along it each of its corners lies, in mm.
    pub fn lengths(&self) -> &[f64] {
        self.0.lengths()
    }

    /// How far it is from one place to another in the ring's direction, in mm.
    pub fn forward(&self, from: f64, to: f64) -> f64 {
        (to - from).rem_euclid(self.length())
    }

    /// The place `at` mm along the ring, counted on and on.
    pub fn place(&self, at: f64) -> Coord<f64> {
        self.0.place(at.rem_euclid(self.length()))
    }

    /// The way from `from` forward to `to` mm along the ring, both ends in it.
    pub fn piece(&self, from: f64, to: f64) -> Vec<Coord<f64>> {
        let from = from.rem_euclid(self.length());
        let reach = self.forward(from, to);
        let (corners, lengths) = (self.corners(), self.lengths());
        let count = corners.len() - 1;
        let first = lengths.partition_point(|&length| length <= from);
        let mut way = vec![self.place(from)];
        for step in 0..count {
            let corner = (first + step) % count;
            let ahead = self.forward(from, lengths[corner]);
            if ahead >= reach || (step > 0 && ahead == 0.0) {
                break;
            }
            if ahead > 0.0 {
                way.push(corners[corner]);
            }
        }
        way.push(self.place(to));
        way
    }

    /// How far along the ring the place nearest to `p` lies.
    pub fn nearest(&self, p: Coord<f64>) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, edge) in self.corners().windows(2).enumerate() {
            let fraction = nearest_fraction([edge[0], edge[1]], p);
            let away = distance(p, edge[0] + (edge[1] - edge[0]) * fraction);
            if away < best.0 {
                best = (away, self.along_edge(i, fraction));
            }
        }
        best.1
    }

    /// How far along the ring a place on the edge after corner `i` lies.
    pub fn along_edge(&self, i: usize, fraction: f64) -> f64 {
        let lengths = self.lengths();
        lengths[i] + (lengths[i + 1] - lengths[i]) * fraction
    }

    /// Evenly spread places, about `step` mm apart and no more than `most`, as mm along the ring.
    pub fn samples(&self, step: f64, most: usize) -> impl Iterator<Item = f64> + use<> {
        let count = ((self.length() / step).ceil() as usize).clamp(3, most.max(3));
        let step = self.length() / count as f64;
        (0..count).map(move |i| i as f64 * step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::line_string;

    fn square() -> Ring {
        let line = line_string![(x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 4.), (x: 0., y: 4.), (x: 0., y: 0.)];
        Ring::new(&line).expect("it has length")
    }

    #[test]
    fn a_piece_may_pass_the_first_corner() {
        let at = |x: f64, y: f64| Coord { x, y };
        let ring = square();
        assert_eq!(ring.length(), 16.0);
        assert_eq!(ring.piece(1.0, 5.0), [at(1., 0.), at(4., 0.), at(4., 1.)]);
        assert_eq!(ring.piece(14.0, 18.0), [at(0., 2.), at(0., 0.), at(2., 0.)]);
        assert_eq!(ring.piece(-1.0, 1.0), [at(0., 1.), at(0., 0.), at(1., 0.)]);
        // Nearly all round, each corner comes once.
        let corners = [at(4., 0.), at(4., 4.), at(0., 4.), at(0., 0.)];
        let round = [&[at(2., 0.)], corners.as_slice(), &[at(1., 0.)]].concat();
        assert_eq!(ring.piece(2.0, 1.0), round);
    }

    #[test]
    fn the_nearest_place_is_found() {
        assert_eq!(square().nearest(Coord { x: 5.0, y: 1.0 }), 5.0);
        assert_eq!(square().nearest(Coord { x: 1.0, y: 3.9 }), 11.0);
    }
}
