//! Which objects take part.

use crate::BorderAngles;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use hoopwright_sdk::stitch_making::refuse_giants;
use std::collections::BTreeMap;

/// A region whose rows have an angle, or can be given one.
pub(crate) struct Fill {
    /// The angle that it has already, in degrees, and keeps.
    pub own: Option<f64>,
    /// The first place of those that get one angle with it, its own among them: no border of theirs is to show.
    pub kin: usize,
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
pub(crate) fn of(
    objects: &[Object],
    selected: &[usize],
    settings: &BorderAngles,
) -> Result<Vec<Option<Fill>>, Failure> {
    let is_selected = selection::flags(objects.len(), selected);
    let mut firsts = BTreeMap::new();
    let mut fills = Vec::with_capacity(objects.len());
    for (place, object) in objects.iter().enumerate() {
        let Some(area) = area(object, is_selected[place])? else {
            fills.push(None);
            continue;
        };
        let colours = colours(object);
        let kin = if settings.one_colour || colours.is_empty() {
            place
        } else {
            *firsts.entry((object.thread, colours)).or_insert(place)
        };
        fills.push(Some(Fill {
            own: object.sewing.angle,
            kin,
            edges: EdgeGrid::new(&area),
            area,
        }));
    }
    Ok(fills)
}

/// The area of what takes part.
fn area(object: &Object, is_selected: bool) -> Result<Option<MultiPolygon<f64>>, Failure> {
    let Shape::Region(region) = &object.shape else {
        return Ok(None);
    };
    if object.sewing.angle.is_none() {
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
    Ok(Some(clean(&region.to_multi_polygon())))
}

/// The colours that an object has in the artwork: a reader of artwork leaves them as tags.
fn colours(object: &Object) -> Vec<&str> {
    let is_colour = |tag: &&str| {
        let digits = tag.strip_prefix('#').unwrap_or_default();
        digits.len() == 6 && digits.bytes().all(|digit| digit.is_ascii_hexdigit())
    };
    let tags = object.tags.iter().map(String::as_str);
    tags.filter(is_colour).collect()
}
