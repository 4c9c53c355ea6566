//! usvg's paths as polylines in mm.

use super::tangle::{MOST_CROSSINGS, crossings};
use crate::design::valid::FARTHEST;
use geo::{Coord, LineString};
use hoopwright_geometry::area::CORNER_MERGE;
use kurbo::{Affine, PathEl, Point};
use usvg::tiny_skia_path::PathSegment;

/// A flattened curve lies no farther than this from the true one, in mm. A disc of 10 mm radius
/// loses less than a thousandth of its area to it.
pub(super) const FLATNESS: f64 = 0.0075;

/// No coordinate may be larger, in mm: flattening a curve costs more the larger it is.
pub(super) const FARTHEST_READ: f64 = 10.0 * FARTHEST;

/// More corners than this in all are not read.
pub(super) const MOST_CORNERS: usize = 8_000_000;

/// One subpath.
#[derive(Debug)]
pub(super) struct Subpath {
    /// Its corners; of a closed one the first is not repeated. No two that follow each other are
    /// the same.
    pub corners: Vec<Coord<f64>>,
    /// Whether it was closed, or ends where it began.
    pub closed: bool,
}

impl Subpath {
    /// As a line that ends where it began if it is closed.
    pub fn to_line_string(&self) -> LineString<f64> {
        let mut line = LineString::new(self.corners.clone());
        if self.closed {
            line.close();
        }
        line
    }
}

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
    let mut pen = Pen {
        subpaths: Vec::new(),
        corners: Vec::new(),
        begin: Point::ZERO,
        at: Point::ZERO,
        budget: &mut budget.corners,
    };
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => pen.begin_at(place(p)?)?,
            PathSegment::LineTo(p) => pen.line_to(place(p)?)?,
            PathSegment::QuadTo(a, p) => pen.curve(PathEl::QuadTo(place(a)?, place(p)?))?,
            PathSegment::CubicTo(a, b, p) => {
                pen.curve(PathEl::CurveTo(place(a)?, place(b)?, place(p)?))?;
            }
            PathSegment::Close => pen.close(),
        }
    }
    pen.finish(false);
    Ok(pen.subpaths)
}

struct Pen<'b> {
    subpaths: Vec<Subpath>,
    corners: Vec<Coord<f64>>,
    begin: Point,
    at: Point,
    budget: &'b mut usize,
}

impl Pen<'_> {
    fn begin_at(&mut self, place: Point) -> Result<(), Refused> {
        self.finish(false);
        self.begin = place;
        self.line_to(place)
    }

    fn line_to(&mut self, place: Point) -> Result<(), Refused> {
        if self.corners.is_empty() {
            // After a close, a path may go on from where the closed subpath began.
            self.push(self.begin)?;
        }
        self.at = place;
        self.push(place)
    }

    fn curve(&mut self, element: PathEl) -> Result<(), Refused> {
        if self.corners.is_empty() {
            self.push(self.begin)?;
        }
        let mut ends = Vec::new();
        let curve = [PathEl::MoveTo(self.at), element];
        kurbo::flatten(curve, FLATNESS, |line| {
            if let PathEl::LineTo(place) = line {
                ends.push(place);
            }
        });
        for place in ends {
            self.line_to(place)?;
        }
        Ok(())
    }

    fn close(&mut self) {
        self.finish(true);
        self.at = self.begin;
    }

    fn push(&mut self, place: Point) -> Result<(), Refused> {
        let corner = Coord {
            x: place.x,
            y: place.y,
        };
        if self.corners.last().is_none_or(|&last| apart(last, corner)) {
            *self.budget = self.budget.checked_sub(1).ok_or(Refused::Long)?;
            self.corners.push(corner);
        }
        Ok(())
    }

    fn finish(&mut self, closed: bool) {
        let mut corners = std::mem::take(&mut self.corners);
        let mut closed = closed;
        while let [first, .., last] = corners[..]
            && !apart(first, last)
        {
            // In thread, a line that ends where it began is a closed one.
            closed |= corners.len() > 3;
            corners.pop();
        }
        if !corners.is_empty() {
            let closed = closed && corners.len() > 2;
            self.subpaths.push(Subpath { corners, closed });
        }
    }
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> bool {
    (a.x - b.x).abs() > CORNER_MERGE || (a.y - b.y).abs() > CORNER_MERGE
}
