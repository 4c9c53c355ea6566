//! usvg's paths as polylines in mm.

use super::tangle::{MOST_CROSSINGS, crossings};
use crate::design::valid::FARTHEST;
use hoopwright_geometry::curves::{Subpath, TooManyCorners, flatten_within};
use kurbo::{Affine, PathEl, Point};
use usvg::tiny_skia_path::PathSegment;

/// A flattened curve lies no farther than this from the true one, in mm. A disc of 10 mm radius
/// loses less than a thousandth of its area to it.
pub(super) const FLATNESS: f64 = 0.0075;

/// No coordinate may be larger, in mm: flattening a curve costs more the larger it is.
pub(super) const FARTHEST_READ: f64 = 10.0 * FARTHEST;

/// More corners than this in all are not read.
pub(super) use hoopwright_geometry::curves::MOST_CORNERS;

/// How much more may be read of the artwork.
#[derive(Debug)]
pub(super) struct Budget {
    /// Corners.
    pub corners: usize,
    /// Places where outlines cross themselves.
    pub crossings: f64,
}

impl Default for Budget {
    fn default() -> Self {
        Self {
            corners: MOST_CORNERS,
            crossings: MOST_CROSSINGS,
        }
    }
}

impl Budget {
    /// Takes from the budget what these subpaths cost to cut with each other; false where they
    /// cross too often.
    pub fn spend_crossings(&mut self, subpaths: &[Subpath]) -> bool {
        let left = self.crossings - crossings(subpaths);
        if left >= 0.0 {
            self.crossings = left;
        }
        left >= 0.0
    }
}

/// Why a path has no outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Refused {
    /// A coordinate is not finite or beyond [`FARTHEST_READ`].
    Far,
    /// The artwork has more than [`MOST_CORNERS`] corners.
    Long,
}

/// The path's subpaths under `to_mm`, their corners taken from the budget.
pub(super) fn outline(
    path: &usvg::tiny_skia_path::Path,
    to_mm: Affine,
    budget: &mut Budget,
) -> Result<Vec<Subpath>, Refused> {
    let place = |p: usvg::tiny_skia_path::Point| {
        let p = to_mm * Point::new(f64::from(p.x), f64::from(p.y));
        let near = p.x.abs() <= FARTHEST_READ && p.y.abs() <= FARTHEST_READ;
        near.then_some(p).ok_or(Refused::Far)
    };
    let mut elements = Vec::new();
    let mut segments = path.segments().peekable();
    while let Some(segment) = segments.next() {
        let is_move = |segment: &PathSegment| matches!(segment, PathSegment::MoveTo(_));
        if is_move(&segment) && segments.peek().is_none_or(is_move) {
            // A place that nothing leads from is not painted, and has no caps (SVG 2 section 13.5.4).
            continue;
        }
        elements.push(match segment {
            PathSegment::MoveTo(p) => PathEl::MoveTo(place(p)?),
            PathSegment::LineTo(p) => PathEl::LineTo(place(p)?),
            PathSegment::QuadTo(a, p) => PathEl::QuadTo(place(a)?, place(p)?),
            PathSegment::CubicTo(a, b, p) => PathEl::CurveTo(place(a)?, place(b)?, place(p)?),
            PathSegment::Close => PathEl::ClosePath,
        });
    }
    flatten_within(elements, FLATNESS, &mut budget.corners).map_err(|TooManyCorners| Refused::Long)
}
