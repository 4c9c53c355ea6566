//! Cookbook 4, `running-sketch`: a region as a drawing in thread, its edges and sparse lines across.
//!
//! The way of the data: the region, a little smaller ([`geometry::offset`]); [`hatch`] cuts it by
//! parallel lines; [`edges`] says where the lines meet the edges; [`walk`] finds the way of one thread
//! through both.

mod edges;
mod hatch;
mod walk;

use hoopwright_sdk::geometry::{measure, offset, resample};
use hoopwright_sdk::prelude::*;

settings! {
    /// Sews a region as a sketch: along its edges, with sparse lines across.
    pub struct RunningSketch {
        /// The distance from each line across to the next, in mm. Default 3; the object's own density
        /// does not count here.
        pub line_distance: f64 = 3.0, in "mm", from 0.8 to 50.0;
        /// The angle of the lines in degrees, anticlockwise as seen: 0 lies level, 90 stands. Default 45.
        /// An object's own angle wins.
        pub angle: f64 = 45.0, in "degrees", from -360.0 to 360.0;
        /// The longest stitch, in mm. Default 2.5. An object's own stitch length wins.
        pub stitch_length: f64 = 2.5, in "mm", from 0.5 to 12.0;
        /// How far inside of the region's edge the edge run lies, in mm. Default 0.2, half a thread, so
        /// that the thread ends where the drawing does.
        pub inset: f64 = 0.2, in "mm", from 0.0 to 5.0;
    }
}

/// Sews the object as a sketch. Each part of the region is one thread: once along every edge, and there
/// and back along every line.
///
/// # Errors
/// None.
pub fn running_sketch(
    mut object: Object,
    _thread: &Thread,
    settings: &RunningSketch,
) -> Result<Object, Failure> {
    let Shape::Region(region) = &object.shape else {
        messages::report(
            Finding::note("It is no region, so it was not sketched.")
                .about(&object.id)
                .help("Select regions: \"on\": { \"shape\": \"region\" }."),
        );
        return Ok(object);
    };
    let area = offset::grow(&region.to_multi_polygon(), -settings.inset);
    if area.0.is_empty() {
        messages::report(
            Finding::warning(format!(
                "It is narrower than two insets of {} mm, so nothing was sewn.",
                settings.inset
            ))
            .about(&object.id)
            .help("Make `inset` smaller, or sew it as a line."),
        );
        return Ok(object);
    }
    let angle = object.sewing.angle.unwrap_or(settings.angle);
    let longest = object
        .sewing
        .stitch_length
        .unwrap_or(settings.stitch_length);

    let mut parts: Vec<edges::Part> = area
        .into_iter()
        .map(|polygon| {
            let lines = hatch::lines(&polygon, settings.line_distance, angle);
            edges::Part::new(&polygon, lines)
        })
        .collect();
    let mut stitches = StitchList::new();
    let mut at = object.sewing.start.map(Coord::from);
    while let Some(next) = nearest(&parts, at) {
        let part = parts.swap_remove(next);
        for line in walk::thread(&part, at) {
            sew(&line, longest, &mut stitches);
        }
        at = stitches.last();
    }
    object.stitches = stitches.into_blocks();
    Ok(object)
}

/// The part with the edge nearest to `at`; the first where nothing was sewn yet.
fn nearest(parts: &[edges::Part], at: Option<Coord<f64>>) -> Option<usize> {
    let away = |part: &edges::Part| at.map_or(0.0, |at| part.distance(at));
    (0..parts.len()).min_by(|&a, &b| away(&parts[a]).total_cmp(&away(&parts[b])))
}

/// No stitch is shorter than this, in mm, for thread breaks on such (common practice).
const SHORTEST_STITCH: f64 = 0.3;

/// Lays stitches along one piece of thread. Most pieces begin where the one before ends; where one does
/// not, the hoop jumps.
fn sew(line: &geo::LineString<f64>, longest: f64, stitches: &mut StitchList) {
    let places = resample::along(line, resample::Spacing::new(longest));
    for (number, &place) in places.iter().enumerate() {
        if let Some(here) = stitches.last() {
            let step = measure::distance(here, place);
            if step < SHORTEST_STITCH {
                continue;
            }
            if number == 0 && step > longest {
                stitches.jump(place);
            }
        }
        stitches.needle(StitchRole::Cover, place);
    }
}

object_step! {
    name: "running-sketch",
    summary: "Sews regions as a sketch: along their edges, with sparse lines across, in one thread.",
    manual: include_str!("../manual.md"),
    settings: RunningSketch,
    process: running_sketch,
}

#[cfg(test)]
mod tests;
