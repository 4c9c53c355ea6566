//! Where things lie on the cloth, changed: moved, turned, scaled and mirrored.
//!
//! A [`Placement`] is an affine change of the plane. [`Object::placed`] applies it to everything
//! that an object carries, so that a sewn object stays sewn as it was.

use crate::{Failure, Object, Point, Polyline, Shape};
use geo::{AffineTransform, Coord};

/// The farthest a coordinate may lie from the origin, in mm. The host refuses what lies farther.
const FARTHEST: f64 = 10_000.0;

/// A change of places: any mix of moving, turning, scaling and mirroring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement(AffineTransform<f64>);

impl Default for Placement {
    /// Everything stays.
    fn default() -> Self {
        Self(AffineTransform::identity())
    }
}

impl Placement {
    /// Moves `by` mm.
    pub fn moving(by: Coord<f64>) -> Self {
        Self(AffineTransform::new(1.0, 0.0, by.x, 0.0, 1.0, by.y))
    }

    /// Turns by `degrees`, anticlockwise as seen, about `centre`. Whole quarters are exact.
    pub fn turning(degrees: f64, centre: Coord<f64>) -> Self {
        let (sin, cos) = sine_and_cosine(degrees);
        // Anticlockwise as seen is clockwise in coordinates, for y points down.
        Self::linear([[cos, sin], [-sin, cos]], centre)
    }

    /// Scales by the factors `across` and `down`, away from `centre`.
    pub fn scaling(across: f64, down: f64, centre: Coord<f64>) -> Self {
        Self::linear([[across, 0.0], [0.0, down]], centre)
    }

    /// Mirrors across the line through `centre` that points to `degrees`, anticlockwise as seen:
    /// 90 is an upright line, 0 a level one.
    pub fn mirroring(degrees: f64, centre: Coord<f64>) -> Self {
        let (sin, cos) = sine_and_cosine(2.0 * degrees);
        Self::linear([[cos, -sin], [-sin, -cos]], centre)
    }

    /// This, and then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        Self(self.0.compose(&next.0))
    }

    /// What undoes this; nothing where it presses everything flat.
    pub fn undone(&self) -> Option<Self> {
        self.0.inverse().map(Self)
    }

    /// Where `place` comes to lie.
    pub fn of(&self, place: Coord<f64>) -> Coord<f64> {
        self.0.apply(place)
    }

    /// What a stitch angle becomes, in degrees: the angle of the changed line. Of all full turns
    /// the one is taken that lies nearest to the angle before.
    pub fn of_angle(&self, degrees: f64) -> f64 {
        let (a, b, d, e) = (self.0.a(), self.0.b(), self.0.d(), self.0.e());
        // Where the row's own direction goes.
        let turn = (-d).atan2(a).to_degrees();
        let angle = if a == e && b == -d {
            // Turned and scaled alike both ways: no rounding beyond that of the turn.
            degrees + turn
        } else if a == -e && b == d {
            turn - degrees
        } else {
            let (sin, cos) = sine_and_cosine(degrees);
            let (x, y) = (a * cos - b * sin, d * cos - e * sin);
            (-y).atan2(x).to_degrees()
        };
        // The same angle within half a turn of the one before, so that going back gives it again.
        angle + 360.0 * ((degrees - angle) / 360.0).round()
    }

    /// By how much lengths grow in the mean: the square root of how much areas grow.
    pub fn mean_scale(&self) -> f64 {
        self.determinant().abs().sqrt()
    }

    /// Whether left and right change places.
    pub fn mirrors(&self) -> bool {
        self.determinant() < 0.0
    }

    fn determinant(&self) -> f64 {
        self.0.a() * self.0.e() - self.0.b() * self.0.d()
    }

    /// The linear map `rows`, with `centre` as the place that stays.
    fn linear([[a, b], [d, e]]: [[f64; 2]; 2], centre: Coord<f64>) -> Self {
        let x = centre.x - (a * centre.x + b * centre.y);
        let y = centre.y - (d * centre.x + e * centre.y);
        Self(AffineTransform::new(a, b, x, d, e, y))
    }

    fn of_columns(&self, x: &mut [f64], y: &mut [f64]) {
        for (x, y) in x.iter_mut().zip(y) {
            let place = self.of(Coord { x: *x, y: *y });
            (*x, *y) = (place.x, place.y);
        }
    }

    fn of_point(&self, point: &mut Point) {
        *point = self.of((*point).into()).into();
    }

    /// A ring keeps the way it goes round, and its first corner, also where it is mirrored.
    fn of_ring(&self, ring: &mut Polyline) {
        self.of_columns(&mut ring.x, &mut ring.y);
        if self.mirrors() {
            for column in [&mut ring.x, &mut ring.y] {
                if let Some((_, rest)) = column.split_first_mut() {
                    rest.reverse();
                }
            }
        }
    }

    fn of_shape(&self, shape: &mut Shape) {
        match shape {
            Shape::Region(region) => {
                for polygon in &mut region.polygons {
                    self.of_ring(&mut polygon.outer);
                    polygon.holes.iter_mut().for_each(|hole| self.of_ring(hole));
                }
            }
            Shape::Lines(lines) => {
                for path in &mut lines.paths {
                    self.of_columns(&mut path.x, &mut path.y);
                }
                lines.width *= self.mean_scale();
            }
            Shape::Manual => {}
        }
    }
}

impl Object {
    /// The object with all that has a place changed by `placement`: its shape, stitches, start and
    /// finish, direction marks and stitch angle. The stroke width of lines is scaled by the mean;
    /// density and stitch length stay, for they belong to the thread and not to the drawing.
    ///
    /// # Errors
    /// When something would lie more than 10 m from the origin, or nowhere. The object is named.
    pub fn placed(mut self, placement: &Placement) -> Result<Self, Failure> {
        self.place(placement)?;
        Ok(self)
    }

    /// Changes the object in its place, as [`placed`](Self::placed) does.
    ///
    /// # Errors
    /// When something lies more than 10 m from the origin now, or nowhere.
    pub fn place(&mut self, placement: &Placement) -> Result<(), Failure> {
        placement.of_shape(&mut self.shape);
        for block in &mut self.stitches {
            placement.of_columns(&mut block.x, &mut block.y);
        }
        let sewing = &mut self.sewing;
        sewing.angle = sewing.angle.map(|angle| placement.of_angle(angle));
        let ends = sewing.start.iter_mut().chain(&mut sewing.finish);
        let marks = sewing.direction_marks.iter_mut();
        let marks = marks.flat_map(|mark| [&mut mark.tail, &mut mark.head]);
        ends.chain(marks)
            .for_each(|point| placement.of_point(point));
        if self.all_are(|v| v.abs() <= FARTHEST) {
            return Ok(());
        }
        let failure = if self.all_are(f64::is_finite) {
            Failure::new("The object would lie more than 10 m from the artwork's origin.")
                .help("See how far the step moves and scales, and about which centre.")
        } else {
            Failure::new("A coordinate of the object would not be a finite number.")
                .help("See what the step divides by, and what it takes the root of.")
        };
        Err(failure.about(&self.id))
    }

    /// Whether `sound` holds for every coordinate and for the width of lines.
    fn all_are(&self, sound: impl Fn(f64) -> bool) -> bool {
        let near = |x: &[f64], y: &[f64]| x.iter().chain(y).all(|v| sound(*v));
        let shape = match &self.shape {
            Shape::Region(region) => region.polygons.iter().all(|polygon| {
                let mut rings = std::iter::once(&polygon.outer).chain(&polygon.holes);
                rings.all(|ring| near(&ring.x, &ring.y))
            }),
            Shape::Lines(lines) => {
                sound(lines.width) && lines.paths.iter().all(|path| near(&path.x, &path.y))
            }
            Shape::Manual => true,
        };
        let sewing = &self.sewing;
        let ends = sewing.start.iter().chain(&sewing.finish);
        let marks = sewing.direction_marks.iter();
        let mut points = ends.chain(marks.flat_map(|mark| [&mark.tail, &mark.head]));
        let stitches = self.stitches.iter().all(|block| near(&block.x, &block.y));
        shape && stitches && points.all(|point| near(&[point.x], &[point.y]))
    }
}

/// Exact at whole quarters of a turn.
fn sine_and_cosine(degrees: f64) -> (f64, f64) {
    let within = degrees.rem_euclid(360.0);
    if within == 0.0 {
        (0.0, 1.0)
    } else if within == 90.0 {
        (1.0, 0.0)
    } else if within == 180.0 {
        (0.0, -1.0)
    } else if within == 270.0 {
        (-1.0, 0.0)
    } else {
        within.to_radians().sin_cos()
    }
}

#[cfg(test)]
mod tests;
