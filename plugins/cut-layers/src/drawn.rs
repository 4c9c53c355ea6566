//! Whether what shows of a line shows only because nobody knows how ends are sewn.
//!
//! Beyond half a width before its end a line hides nothing for sure, for its end may be sewn flat or round.
//! But what lies beneath is sewn by the same steps: a flat end beneath a flat one of its own width is
//! hidden, and so is a round end beneath a round one. Only what shows in both cases alike, or in
//! either, shows indeed.

use crate::upper::Upper;
use hoopwright_sdk::Lines;
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{
    Area, BoundingRect, Intersects, LineString, MultiPolygon, Polygon, Rect,
};
use hoopwright_sdk::geometry::measure::{distance, way_length};
use hoopwright_sdk::geometry::offset::{grow, stroke};
use hoopwright_sdk::prelude::*;

/// How the ends of a line are sewn.
#[derive(Clone, Copy)]
enum End {
    Flat,
    Round,
}

/// What lies on a line, as drawn, and what of the line is not worth a stitch.
pub(crate) struct Drawn<'a> {
    pub uppers: &'a [&'a Upper],
    /// What is narrower than this shows nothing, in mm.
    pub hair: f64,
    /// Nor does what is smaller than this, in mm².
    pub speck: f64,
}

impl Drawn<'_> {
    /// Whether the uppers hide this stretch of a line `width` mm wide, however its ends and theirs are
    /// sewn, as long as all are sewn alike.
    pub fn hides(&self, stretch: &LineString<f64>, width: f64) -> bool {
        let lines = self.uppers.iter().filter_map(|upper| upper.lines.as_ref());
        let widest = lines.map(|lines| lines.width).fold(0.0, f64::max);
        // At most, two of them end there, each half a width before.
        way_length(&stretch.0) <= widest
            && [End::Round, End::Flat]
                .into_iter()
                .all(|end| self.hides_with(end, stretch, width))
    }

    /// The area of all of `lower`, in mm², that shows beyond the uppers' round ends.
    pub fn beyond(&self, lower: &MultiPolygon<f64>) -> f64 {
        let Some(bounds) = lower.bounding_rect() else {
            return 0.0;
        };
        difference(lower, &self.covered(End::Round, bounds)).unsigned_area()
    }

    fn hides_with(&self, end: End, stretch: &LineString<f64>, width: f64) -> bool {
        let lower = end.of(stretch, width);
        let Some(bounds) = lower.bounding_rect() else {
            return true;
        };
        let left = difference(&lower, &self.covered(end, bounds));
        let core = grow(&left, -self.hair / 2.0);
        grow(&core, self.hair / 2.0).unsigned_area() < self.speck
    }

    /// What the uppers cover within `bounds`, and more of it around.
    fn covered(&self, end: End, bounds: Rect<f64>) -> MultiPolygon<f64> {
        let near = self.uppers.iter().filter(|upper| {
            let reach = upper.lines.as_ref().map_or(0.0, |lines| lines.width);
            let room = Coord { x: reach, y: reach };
            let around = Rect::new(upper.bounds.min() - room, upper.bounds.max() + room);
            around.intersects(&bounds)
        });
        let covered = near.flat_map(|upper| match &upper.lines {
            Some(lines) => end.of_all(lines).0,
            None => upper.area.0.clone(),
        });
        covered.collect()
    }
}

impl End {
    fn of_all(self, lines: &Lines) -> MultiPolygon<f64> {
        let strokes = lines.paths.iter().flat_map(|path| {
            let line = path.to_line_string();
            let end = if path.closed { Self::Round } else { self };
            end.of(&line, lines.width)
        });
        strokes.collect()
    }

    /// The stroke along `line`.
    fn of(self, line: &LineString<f64>, width: f64) -> MultiPolygon<f64> {
        match self {
            Self::Round => stroke(line, width),
            Self::Flat => flat(line, width),
        }
    }
}

/// A stroke with flat ends, its corners cut off.
fn flat(line: &LineString<f64>, width: f64) -> MultiPolygon<f64> {
    let mut pieces: Vec<Polygon<f64>> = Vec::new();
    let mut last: Option<Coord<f64>> = None;
    for ends in line.0.windows(2) {
        let length = distance(ends[0], ends[1]);
        if !(length > 1e-9 && length.is_finite()) {
            continue;
        }
        let ahead = (ends[1] - ends[0]) * (width / 2.0 / length);
        let side = Coord {
            x: -ahead.y,
            y: ahead.x,
        };
        let mut ring = |corners: &[Coord<f64>]| {
            pieces.push(Polygon::new(LineString(corners.to_vec()), Vec::new()));
        };
        let [from, to] = [ends[0], ends[1]];
        ring(&[from - side, to - side, to + side, from + side]);
        if let Some(last) = last {
            ring(&[from, from + last, from + side]);
            ring(&[from, from - last, from - side]);
        }
        last = Some(side);
    }
    clean(&MultiPolygon(pieces))
}
