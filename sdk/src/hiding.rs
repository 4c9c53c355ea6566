//! What hides what is sewn before it.

use super::{Object, Shape, StitchBlock, StitchKind, StitchRole, THREAD_WIDTH};
use geo::{Area, Coord, MultiPolygon};
use hoopwright_geometry::measure::distance;

/// Lines drawn at least this wide can hide what lies beneath, in mm: the least width of satin that
/// surely covers (common practice).
pub const LEAST_LINE: f64 = 1.0;

/// Sewn lines hide where their thread, 0.4 mm wide, covers at least this part of their stroke: satin
/// does, a run along the middle does not.
const COVERED: f64 = 0.5;

/// The area that `object` hides where its thread covers it: a region, or the strokes of lines at least
/// [`LEAST_LINE`] wide. Nothing where there is no such area.
pub fn area(object: &Object) -> Option<MultiPolygon<f64>> {
    if matches!(&object.shape, Shape::Lines(lines) if lines.width < LEAST_LINE) {
        return None;
    }
    let area = object.shape.area(0.0);
    (!area.0.is_empty()).then_some(area)
}

/// The area that `object` hides as it is sewn: its [`area`] where it has cover stitches, and, of lines,
/// enough of them.
pub fn sewn_area(object: &Object) -> Option<MultiPolygon<f64>> {
    let cover = object.stitches.iter().filter(|block| {
        block.kind == StitchKind::Needle && block.role == StitchRole::Cover && !block.x.is_empty()
    });
    let cover: Vec<&StitchBlock> = cover.collect();
    if cover.is_empty() {
        return None;
    }
    let area = area(object)?;
    let hides = match object.shape {
        Shape::Lines(_) => {
            let thread: f64 = cover.into_iter().map(length).sum();
            thread * THREAD_WIDTH >= COVERED * area.unsigned_area()
        }
        Shape::Region(_) | Shape::Manual => true,
    };
    hides.then_some(area)
}

fn length(block: &StitchBlock) -> f64 {
    let places: Vec<Coord<f64>> = block
        .x
        .iter()
        .zip(&block.y)
        .map(|(&x, &y)| Coord { x, y })
        .collect();
    let steps = places.windows(2);
    steps.map(|step| distance(step[0], step[1])).sum()
}
