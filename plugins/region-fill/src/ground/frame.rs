//! A plane turned so that the rows of a fill lie level.

use hoopwright_sdk::geometry::geo::{Coord, MapCoords, Polygon};

/// Turns places of the cloth into a frame whose x runs along the rows, and back.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    cos: f64,
    sin: f64,
}

impl Frame {
    /// The frame of rows at `angle` degrees, anticlockwise as seen with y down.
    pub fn new(angle: f64) -> Self {
        let angle = angle.rem_euclid(180.0);
        // Level and upright rows are by far the most common: keep them exact.
        let (sin, cos) = if angle == 0.0 {
            (0.0, 1.0)
        } else if angle == 90.0 {
            (1.0, 0.0)
        } else {
            angle.to_radians().sin_cos()
        };
        Self { cos, sin }
    }

    /// A place of the cloth, in the frame.
    pub fn enter(&self, place: Coord<f64>) -> Coord<f64> {
        Coord {
            x: place.x * self.cos - place.y * self.sin,
            y: place.x * self.sin + place.y * self.cos,
        }
    }

    /// A place of the frame, on the cloth.
    pub fn leave(&self, place: Coord<f64>) -> Coord<f64> {
        Coord {
            x: place.x * self.cos + place.y * self.sin,
            y: place.y * self.cos - place.x * self.sin,
        }
    }

    /// A polygon of the cloth, in the frame.
    pub fn enter_polygon(&self, polygon: &Polygon<f64>) -> Polygon<f64> {
        polygon.map_coords(|place| self.enter(place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_that_rises_to_the_right_becomes_level() {
        // 30 degrees as seen: with y down, the far end has the smaller y.
        let frame = Frame::new(30.0);
        let far = frame.enter(Coord {
            x: 30.0_f64.to_radians().cos(),
            y: -30.0_f64.to_radians().sin(),
        });
        assert!(
            (far.x - 1.0).abs() < 1e-12 && far.y.abs() < 1e-12,
            "{far:?}"
        );
    }

    #[test]
    fn leaving_undoes_entering() {
        let place = Coord { x: 3.0, y: -7.5 };
        for angle in [0.0, 17.0, 90.0, 133.0, -45.0, 400.0] {
            let frame = Frame::new(angle);
            let back = frame.leave(frame.enter(place));
            assert!((back.x - place.x).hypot(back.y - place.y) < 1e-12);
        }
    }
}
