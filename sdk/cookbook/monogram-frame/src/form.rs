//! The forms of a frame: closed curves that keep a distance from a rectangle.

use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::choices;
use hoopwright_sdk::geometry::kurbo::{
    Arc, BezPath, Circle, Point, Rect, RoundedRect, Shape, Vec2,
};
use std::f64::consts::{PI, SQRT_2};

choices! {
    /// The form of a frame.
    pub enum Form {
        /// A circle.
        #[default]
        Round,
        /// A rectangle with round corners.
        Rounded,
        /// Two arcs that meet in two points, as of a leaf, along the longer side. Each goes through the
        /// other's centre.
        Pointed,
    }
}

/// How far the Bézier curves of an arc may lie from it, in mm.
const EXACT: f64 = 0.001;

impl Form {
    /// The frame's line around `inner`. No place of it is nearer to `inner` than `clear` mm, and at
    /// least one is as near.
    pub(crate) fn around(self, inner: &Bounds, clear: f64, corner_radius: f64) -> BezPath {
        let (width, height) = (inner.across.length(), inner.down.length());
        let centre = Point::new(inner.across.centre(), inner.down.centre());
        match self {
            Self::Round => {
                let radius = (width / 2.0).hypot(height / 2.0) + clear;
                Circle::new(centre, radius).to_path(EXACT)
            }
            Self::Rounded => {
                let out = sides_out(clear, corner_radius);
                let half = Vec2::new(width / 2.0 + out, height / 2.0 + out);
                let rectangle = Rect::from_points(centre - half, centre + half);
                // kurbo makes the radius smaller where the sides are shorter than two of it. That
                // brings no place nearer: the corners only grow sharper.
                RoundedRect::from_rect(rectangle, corner_radius).to_path(EXACT)
            }
            Self::Pointed => leaf(centre, width, height, clear),
        }
    }
}

/// How far outside of the inner rectangle the sides of a rounded one lie, so that its corners, of
/// `radius`, are no nearer than `clear` to the inner corners.
///
/// The centre of a corner's arc lies `radius` inside of both sides. An inner corner `out` inside of them
/// is `(radius - out) √2` from it, and so `radius - (radius - out) √2` from the arc.
fn sides_out(clear: f64, radius: f64) -> f64 {
    if radius <= clear {
        clear
    } else {
        radius - (radius - clear) / SQRT_2
    }
}

/// Two arcs of radius `r` about centres that lie `r` apart.
///
/// With the long side upright, the right arc has its centre `r / 2` left of the middle. The corner of a
/// rectangle `w` by `h` lies `√((w/2 + r/2)² + (h/2)²)` from it, which must be `r - clear`. Squared, that
/// is `¾ r² - (2 clear + w/2) r + clear² - (w² + h²)/4 = 0`, and its greater root is `r`.
fn leaf(centre: Point, width: f64, height: f64, clear: f64) -> BezPath {
    let upright = height >= width;
    let (short, long) = if upright {
        (width, height)
    } else {
        (height, width)
    };
    let b = 2.0 * clear + short / 2.0;
    let c = clear * clear - (short * short + long * long) / 4.0;
    let radius = (b + (b * b - 3.0 * c).max(0.0).sqrt()) / 1.5;
    // Each arc spans a third of its circle: the tips are seen from its centre at 60° to either side.
    let (aside, third) = (radius / 2.0, PI / 3.0);
    let (aside, begin) = if upright {
        (Vec2::new(aside, 0.0), -third)
    } else {
        (Vec2::new(0.0, aside), PI / 2.0 - third)
    };
    let radii = Vec2::new(radius, radius);
    let near = Arc::new(centre - aside, radii, begin, 2.0 * third, 0.0);
    let far = Arc::new(centre + aside, radii, begin + PI, 2.0 * third, 0.0);
    let mut path = near.to_path(EXACT);
    // The second arc begins in the tip where the first ends.
    path.extend(far.append_iter(EXACT));
    path.close_path();
    path
}
