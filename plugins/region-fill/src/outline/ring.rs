//! A closed line, with places measured along it.

use hoopwright_sdk::geometry::geo::{Coord, LineString};
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::geometry::resample::{cumulative, place};

/// A closed line at an even depth inside a region, which lies to its left as all of a clean
/// polygon's rings have it.
#[derive(Clone, Debug)]
pub struct Ring {
    /// The first corner is repeated at the end.
    corners: Vec<Coord<f64>>,
    lengths: Vec<f64>,
}

impl Ring {
    /// The ring along a closed line, or nothing where that has no length.
    pub fn new(line: &LineString<f64>) -> Option<Self> {
        let mut corners = line.0.clone();
        corners.dedup();
        if corners.first() != corners.last() {
            corners.push(corners[0]);
        }
        (corners.len() > 2).then(|| Self {
            lengths: cumulative(&corners),
            corners,
        })
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        self.lengths[self.lengths.len() - 1]
    }

    /// The corners, the first one repeated at the end.
    pub fn corners(&self) -> &[Coord<f64>] {
        &self.corners
    }

    /// The place `at` mm along the ring, counted on and on.
    pub fn place(&self, at: f64) -> Coord<f64> {
        place(&self.corners, &self.lengths, at.rem_euclid(self.length()))
    }

    /// The way from `from` forward to `to` mm along the ring, both ends in it.
    pub fn piece(&self, from: f64, to: f64) -> Vec<Coord<f64>> {
        let all = self.length();
        let from = from.rem_euclid(all);
        let to = from + (to - from).rem_euclid(all);
        let mut way = vec![self.place(from)];
        let last = self.corners.len() - 1;
        let first = self.lengths.partition_point(|&length| length <= from);
        let corners = (first..last).map(|i| (self.lengths[i], self.corners[i]));
        let round = (0..last).map(|i| (self.lengths[i] + all, self.corners[i]));
        let between = corners.chain(round).take_while(|&(at, _)| at < to);
        way.extend(between.map(|(_, corner)| corner));
        way.push(self.place(to));
        way
    }

    /// How far along the ring the place nearest to `p` lies.
    pub fn nearest(&self, p: Coord<f64>) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, edge) in self.corners.windows(2).enumerate() {
            let fraction = nearest_fraction([edge[0], edge[1]], p);
            let away = distance(p, edge[0] + (edge[1] - edge[0]) * fraction);
            if away < best.0 {
                let step = self.lengths[i + 1] - self.lengths[i];
                best = (away, self.lengths[i] + step * fraction);
            }
        }
        best.1
    }

    /// How far along the ring a place on the edge after corner `i` lies.
    pub fn along_edge(&self, i: usize, fraction: f64) -> f64 {
        self.lengths[i] + (self.lengths[i + 1] - self.lengths[i]) * fraction
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
    use hoopwright_sdk::geometry::geo::line_string;

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
    }

    #[test]
    fn the_nearest_place_is_found() {
        assert_eq!(square().nearest(Coord { x: 5.0, y: 1.0 }), 5.0);
        assert_eq!(square().nearest(Coord { x: 1.0, y: 3.9 }), 11.0);
    }
}
