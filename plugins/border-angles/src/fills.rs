//! Which objects take part.

use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use hoopwright_sdk::stitch_making::refuse_giants;

/// A region whose rows have an angle, or can be given one.
pub(crate) struct Fill {
    /// The angle that it has already, in degrees, and keeps.
    pub own: Option<f64>,
    /// Cleaned.
    pub area: MultiPolygon<f64>,
    pub edges: EdgeGrid,
}

impl Fill {
    /// Its size, in hundredths of a mm²: whole numbers add up to the same in any order, wherever it lies.
    pub fn size(&self) -> u64 {
        (self.area.unsigned_area() * 100.0).round() as u64
    }
}

/// By the object's place in the design: the selected regions without stitches, and all that have an angle of
/// their own. Rows that follow direction marks have no one angle.
///
/// # Errors
/// When one that can be given an angle is larger than any hoop.
pub(crate) fn of(objects: &[Object], selected: &[usize]) -> Result<Vec<Option<Fill>>, Failure> {
    let is_selected = selection::flags(objects.len(), selected);
    let fills = objects.iter().zip(is_selected);
    fills
        .map(|(object, is_selected)| of_one(object, is_selected))
        .collect()
}

fn of_one(object: &Object, is_selected: bool) -> Result<Option<Fill>, Failure> {
    let own = object.sewing.angle;
    let Shape::Region(region) = &object.shape else {
        return Ok(None);
    };
    if own.is_none() {
        if !is_selected || !object.sewing.direction_marks.is_empty() {
            return Ok(None);
        }
        if !object.stitches.is_empty() {
            messages::report(
                Finding::warning("It has stitches already, so its rows stay as they are.")
                    .about(&object.id)
                    .help("Put this step before those that make stitches."),
            );
            return Ok(None);
        }
        refuse_giants(object)?;
    }
    let area = hoopwright_sdk::geometry::clean(&region.to_multi_polygon());
    let edges = EdgeGrid::new(&area);
    Ok(Some(Fill { own, area, edges }))
}
