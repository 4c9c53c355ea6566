//! What the step says of an object that it fills otherwise than was asked.

use crate::RegionFill;
use crate::fill::Fill;
use crate::flow::Straight;
use crate::recipe::{Recipe, SHORTEST_SHARE, mean_direction};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::prelude::*;

/// Directions of marks that differ by more than this many degrees are worth a note.
const MARKS_AGREE: f64 = 10.0;

/// A fill has one angle; say so where marks ask for several.
pub fn note_marks(object: &Object) {
    let marks = &object.sewing.direction_marks;
    let Some(mean) = mean_direction(marks).filter(|_| object.sewing.angle.is_none()) else {
        return;
    };
    let differs = |mark: &hoopwright_sdk::DirectionMark| {
        mean_direction(std::slice::from_ref(mark)).is_some_and(|its| {
            let apart = (its - mean).rem_euclid(180.0);
            apart.min(180.0 - apart) > MARKS_AGREE
        })
    };
    if marks.iter().any(differs) {
        messages::report(
            Finding::note(format!(
                "The direction marks of this region differ; its rows follow their middle direction, {mean:.0} degrees."
            ))
            .about(&object.id)
            .help("For stitches that turn, sew it with satin-column, or part the region."),
        );
    }
}

/// Says where stitches are kept that are shorter than was asked for.
pub fn note_shortest(object: &Object, settings: &RegionFill, recipe: &Recipe) {
    let (wanted, used) = (settings.shortest_stitch, recipe.limits.shortest);
    if used < wanted {
        messages::report(
            Finding::note(format!(
                "Stitches are kept from {used:.2} mm on, {:.0} % of the stitch length, instead of \
                 {wanted} mm.",
                100.0 * SHORTEST_SHARE
            ))
            .about(&object.id)
            .help("Lower shortest-stitch, or give longer stitches."),
        );
    }
}

/// Says what of the region is left out, and what is sewn in straight rows.
pub fn report_fill(object: &Object, filled: &Fill) {
    if let Some((&place, parts)) = parts(filled.too_small.iter()) {
        messages::report(
            Finding::warning(format!("{parts} too small to sew, and left out."))
                .about(&object.id)
                .at(place)
                .help("Enlarge the artwork, or remove what is so small."),
        );
    }
    if let Some((&place, parts)) = parts(filled.without_underlay.iter()) {
        messages::report(
            Finding::note(format!(
                "{parts} too small or narrow for the underlay asked for, and sewn without."
            ))
            .about(&object.id)
            .at(place)
            .help("Lower underlay-inset, or leave the underlay automatic."),
        );
    }
    let straight = |why: Straight| {
        let all = filled.straight.iter();
        parts(all.filter(move |part| part.0 == why).map(|part| &part.1))
    };
    if let Some((&place, parts)) = straight(Straight::Large) {
        messages::report(
            Finding::warning(format!(
                "{parts} too large for lines that bend, and sewn in straight rows."
            ))
            .about(&object.id)
            .at(place)
            .help("Cut the artwork into smaller regions, or give a coarser density."),
        );
    }
    if let Some((&place, parts)) = straight(Straight::Small) {
        messages::report(
            Finding::note(format!(
                "{parts} too small or thin for lines that bend, and sewn in straight rows."
            ))
            .about(&object.id)
            .at(place),
        );
    }
}

/// The first of several places, and how many parts are meant, if any.
fn parts<'a>(mut places: impl Iterator<Item = &'a Coord<f64>>) -> Option<(&'a Coord<f64>, String)> {
    let first = places.next()?;
    let parts = match places.count() {
        0 => "A part of this region is".to_owned(),
        others => format!("{} parts of this region are", others + 1),
    };
    Some((first, parts))
}
