//! Rows whose distance changes from one side of an area to the other.

use crate::ground::frame::Frame;
use hoopwright_sdk::geometry::geo::{CoordsIter, MultiPolygon};
use hoopwright_sdk::geometry::measure::{greater, lesser};

/// Rows this near to level, in degrees, count as level: rounding gives shapes drawn level an axis a
/// hair above or below.
const LEVEL: f64 = 1.0;

/// How the distance between rows changes across an area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// Where the area begins across the rows, in mm, in their frame.
    begin: f64,
    /// How far it reaches from there, in mm.
    extent: f64,
    /// The distance between rows, in mm, where it begins and where it ends.
    pitches: [f64; 2],
}

impl Grade {
    /// Rows at `angle` degrees, from `near` mm apart at one side of `area` to `far` mm at the other:
    /// from top to bottom where they lie level, else from left to right.
    pub fn over(area: &MultiPolygon<f64>, angle: f64, near: f64, far: f64) -> Self {
        let frame = Frame::new(angle);
        let across = area.coords_iter().map(|corner| frame.enter(corner).y);
        let (begin, end) = across.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), y| {
            (lesser(least, y), greater(most, y))
        });
        // The frame's y grows to the right; of rows that fall by a hair it grows upward as well.
        let upward = angle.rem_euclid(180.0) > 180.0 - LEVEL;
        Self {
            begin,
            extent: end - begin,
            pitches: if upward { [far, near] } else { [near, far] },
        }
    }

    /// How far from where the area begins a line of the frame lies, in mm.
    pub fn depth(&self, y: f64) -> f64 {
        y - self.begin
    }

    /// The distance between rows, in mm, so many mm from where the area begins.
    pub fn pitch(&self, depth: f64) -> f64 {
        let [first, last] = self.pitches;
        if depth < self.extent {
            first + (last - first) * depth / self.extent
        } else {
            last
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Coord, polygon};

    /// Where rows are nearer together: the pitch at two places.
    fn pitches(angle: f64, places: [Coord<f64>; 2]) -> [f64; 2] {
        let square = polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)];
        let grade = Grade::over(&square.into(), angle, 0.2, 1.0);
        places.map(|at| grade.pitch(grade.depth(Frame::new(angle).enter(at).y)))
    }

    #[test]
    fn level_rows_are_shaded_from_the_top_and_others_from_the_left() {
        let place = |x: f64, y: f64| Coord { x, y };
        for angle in [0.0, 1e-13, -1e-13, 0.7, -0.7, 179.5, 180.0, -180.0 - 1e-9] {
            let [top, bottom] = pitches(angle, [place(5., 1.), place(5., 9.)]);
            assert!(top < 0.35 && bottom > 0.85, "{angle}: {top} {bottom}");
        }
        for angle in [90.0, 89.9, 90.1, -90.0, 45.0, 135.0, -30.0, 5.0, 175.0] {
            let [left, right] = pitches(angle, [place(0.5, 5.), place(9.5, 5.)]);
            assert!(left < right, "{angle}: {left} {right}");
        }
    }
}
