//! What hides what is sewn before it.

use crate::{Object, Shape};
use geo::MultiPolygon;
use hoopwright_geometry::{clean, offset};

/// Lines drawn at least this wide can hide what lies beneath, in mm: the least width of satin that
/// surely covers (common practice).
pub const LEAST_LINE: f64 = 1.0;

/// The area that `object` hides where its thread covers it: a region, or the strokes of lines at least
/// [`LEAST_LINE`] wide. Nothing where there is no such area.
pub fn area(object: &Object) -> Option<MultiPolygon<f64>> {
    let area = match &object.shape {
        Shape::Region(region) => clean(&region.to_multi_polygon()),
        Shape::Lines(lines) if lines.width >= LEAST_LINE => {
            let strokes = lines.paths.iter();
            let strokes =
                strokes.flat_map(|path| offset::stroke(&path.to_line_string(), lines.width));
            clean(&strokes.collect())
        }
        Shape::Lines(_) | Shape::Manual => return None,
    };
    (!area.0.is_empty()).then_some(area)
}
