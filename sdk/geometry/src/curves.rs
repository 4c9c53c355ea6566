//! Curves as lines: circles, arcs, rounded rectangles and paths of [`kurbo`], cut into short chords.

use crate::area::{CORNER_MERGE, FARTHEST, FillRule, from_rings};
use geo::{Coord, LineString, MultiPolygon};
use kurbo::{PathEl, Point};

/// [`flatten`] gives no more corners than this.
pub const MOST_CORNERS: usize = 8_000_000;

/// No tolerance is finer than this, in mm: a tenth of what parts two corners.
const FINEST: f64 = CORNER_MERGE / 10.0;

/// One piece of a path: from where the pen goes down to where it is lifted.
#[derive(Clone, Debug, PartialEq)]
pub struct Subpath {
    /// Its corners in mm; of a closed one the first is not repeated. No two that follow each other
    /// are the same.
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

/// A path has more corners than may be made of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooManyCorners;

/// The outline of `shape` as lines that lie no farther than `tolerance` mm from it: 0.01 is finer than
/// any needle, and not under 0.0001.
///
/// Nothing comes back where a coordinate is not finite or beyond 1e9 mm, where the tolerance is no
/// number, or where there would be more than [`MOST_CORNERS`] corners.
pub fn flatten(shape: &impl kurbo::Shape, tolerance: f64) -> Vec<Subpath> {
    if tolerance.is_nan() {
        return Vec::new();
    }
    // A circle becomes Bézier curves, and those become lines: each has half of the tolerance.
    let half = tolerance.max(FINEST) / 2.0;
    let mut elements = Vec::new();
    // One by one, for a shape as large as the sky would never end.
    for element in shape.path_elements(half) {
        if !on_the_map(&element) || elements.len() == MOST_CORNERS {
            return Vec::new();
        }
        elements.push(element);
    }
    let mut left = MOST_CORNERS;
    flatten_within(elements, half, &mut left).unwrap_or_default()
}

/// The area that the outline of `shape` encloses, its edge as [`flatten`] gives it. What a path goes
/// round more than once counts once.
pub fn area(shape: &impl kurbo::Shape, tolerance: f64) -> MultiPolygon<f64> {
    let rings: Vec<_> = flatten(shape, tolerance)
        .iter()
        .map(Subpath::to_line_string)
        .collect();
    from_rings(rings, FillRule::NonZero)
}

/// The pieces of the path `elements` as lines that lie no farther than `tolerance` mm from it; each of
/// their corners is taken from what is `left`. Coordinates must be finite, and `tolerance` positive:
/// the work grows with the root of one over the other.
///
/// # Errors
/// When nothing is left.
pub fn flatten_within(
    elements: impl IntoIterator<Item = PathEl>,
    tolerance: f64,
    left: &mut usize,
) -> Result<Vec<Subpath>, TooManyCorners> {
    let mut pen = Pen {
        subpaths: Vec::new(),
        corners: Vec::new(),
        begin: Point::ZERO,
        at: Point::ZERO,
        tolerance,
        left,
    };
    for element in elements {
        match element {
            PathEl::MoveTo(place) => pen.begin_at(place)?,
            PathEl::LineTo(place) => pen.line_to(place)?,
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => pen.curve(element)?,
            PathEl::ClosePath => pen.close(),
        }
    }
    pen.finish(false);
    Ok(pen.subpaths)
}

struct Pen<'l> {
    subpaths: Vec<Subpath>,
    corners: Vec<Coord<f64>>,
    begin: Point,
    at: Point,
    tolerance: f64,
    left: &'l mut usize,
}

impl Pen<'_> {
    fn begin_at(&mut self, place: Point) -> Result<(), TooManyCorners> {
        self.finish(false);
        self.begin = place;
        self.line_to(place)
    }

    fn line_to(&mut self, place: Point) -> Result<(), TooManyCorners> {
        if self.corners.is_empty() {
            // After a close, a path may go on from where the closed subpath began.
            self.push(self.begin)?;
        }
        self.at = place;
        self.push(place)
    }

    fn curve(&mut self, element: PathEl) -> Result<(), TooManyCorners> {
        if self.corners.is_empty() {
            self.push(self.begin)?;
        }
        let mut ends = Vec::new();
        let curve = [PathEl::MoveTo(self.at), element];
        kurbo::flatten(curve, self.tolerance, |line| {
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

    fn push(&mut self, place: Point) -> Result<(), TooManyCorners> {
        let corner = Coord {
            x: place.x,
            y: place.y,
        };
        if self.corners.last().is_none_or(|&last| apart(last, corner)) {
            *self.left = self.left.checked_sub(1).ok_or(TooManyCorners)?;
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

fn on_the_map(element: &PathEl) -> bool {
    let near = |p: &Point| p.x.abs() <= FARTHEST && p.y.abs() <= FARTHEST;
    match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => near(p),
        PathEl::QuadTo(a, p) => near(a) && near(p),
        PathEl::CurveTo(a, b, p) => near(a) && near(b) && near(p),
        PathEl::ClosePath => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure;
    use geo::Area;
    use kurbo::{Arc, BezPath, Circle, Line, Rect, RoundedRect};
    use std::f64::consts::PI;

    /// Every corner of a circle of 10 mm lies on it, every chord's middle within the tolerance: the
    /// height of a chord's arc is `r (1 - cos(step / 2))`.
    #[test]
    fn chords_keep_the_tolerance() {
        for tolerance in [0.5, 0.1, 0.01, 0.001] {
            let circle = flatten(&Circle::new((3.0, 4.0), 10.0), tolerance);
            let [ring] = &circle[..] else {
                panic!("one ring");
            };
            assert!(ring.closed);
            for line in ring.to_line_string().lines() {
                for place in [line.start, (line.start + line.end) / 2.0] {
                    let stray = 10.0 - measure::distance(place, Coord { x: 3., y: 4. });
                    assert!(stray.abs() <= tolerance, "{tolerance}: {stray}");
                }
            }
        }
    }

    /// A rounded rectangle lacks four corners: (4 - pi) r².
    #[test]
    fn areas_of_rounded_rectangles_are_the_formula_s() {
        let sharp = Rect::new(-20.0, -10.0, 20.0, 10.0);
        for radius in [0.0, 1.0, 5.0, 10.0] {
            let area = area(&RoundedRect::from_rect(sharp, radius), 0.001);
            let formula = 800.0 - (4.0 - PI) * radius * radius;
            let off = area.unsigned_area() - formula;
            assert!(off.abs() < 0.05, "{radius}: {off}");
        }
    }

    #[test]
    fn an_arc_stays_open_and_keeps_its_ends() {
        let quarter = Arc::new((0.0, 0.0), (10.0, 10.0), 0.0, PI / 2.0, 0.0);
        let pieces = flatten(&quarter, 0.01);
        assert_eq!(pieces.len(), 1);
        assert!(!pieces[0].closed);
        let line = pieces[0].to_line_string();
        let length = measure::length(&line);
        assert!((length - 5.0 * PI).abs() < 0.02, "{length}");
        let [first, .., last] = line.0[..] else {
            panic!("it has corners");
        };
        assert!((first.x - 10.0).abs() < 1e-9 && (last.y - 10.0).abs() < 1e-9);
    }

    #[test]
    fn straight_lines_get_no_corners_of_their_own() {
        let line = flatten(&Line::new((0.0, 0.0), (30.0, 0.0)), 0.01);
        assert_eq!(line[0].corners.len(), 2);
        let square = flatten(&Rect::new(0.0, 0.0, 5.0, 5.0), 0.01);
        assert_eq!((square[0].corners.len(), square[0].closed), (4, true));
    }

    #[test]
    fn what_cannot_be_flattened_gives_nothing() {
        for radius in [f64::NAN, f64::INFINITY, 1e300] {
            assert!(
                flatten(&Circle::new((0.0, 0.0), radius), 0.01).is_empty(),
                "{radius}"
            );
        }
        let circle = Circle::new((0.0, 0.0), 5.0);
        assert!(flatten(&circle, f64::NAN).is_empty());
        // A tolerance of nothing is the finest there is.
        assert_eq!(flatten(&circle, 0.0), flatten(&circle, -1.0));
        assert!(!flatten(&circle, 0.0).is_empty());
        assert!(flatten(&BezPath::new(), 0.01).is_empty());
    }

    #[test]
    fn the_corners_left_are_counted() {
        let mut left = 4;
        let square = kurbo::Shape::to_path(&Rect::new(0.0, 0.0, 5.0, 5.0), 0.01);
        assert!(flatten_within(square.clone(), 0.01, &mut left).is_ok());
        assert_eq!(left, 0);
        assert_eq!(flatten_within(square, 0.01, &mut left), Err(TooManyCorners));
    }
}
