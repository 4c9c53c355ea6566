//! The stock step `snap-ends`: closes the small gaps that drawings leave at the ends of lines.
//!
//! The way of the data: [`path`] takes the lines apart and gives them new ends; [`meeting`] finds
//! ends that meet each other; [`target`] finds what else an end can be laid onto; [`snap`] decides
//! where each end goes; [`pressed`] finds short lines of which nothing would be left; [`tally`] says
//! what was done.

mod meeting;
mod path;
mod pressed;
mod snap;
mod tally;
mod target;

use hoopwright_sdk::prelude::*;
use path::Path;

choices! {
    /// How a line reaches where its end is snapped to.
    pub enum Reaches {
        /// Its last part bends there; the farther from the end, the less.
        #[default]
        Bent,
        /// It goes on in its own direction, or is cut where it goes too far. Where that leads
        /// nowhere within reach, it bends.
        Lengthened,
    }
}

choices! {
    /// What ends are snapped onto.
    pub enum Onto {
        /// Any line or edge of the design; those not selected stay as they are.
        #[default]
        All,
        /// Only lines and edges that are selected.
        Selected,
    }
}

settings! {
    /// Snaps the ends of the selected lines to each other, to other lines, and to edges of regions.
    pub struct SnapEnds {
        /// How far an end is moved at most, in mm. Default 0.5. Less than the smallest gap that is
        /// meant to be there.
        pub reach: f64 = 0.5, in "mm", from 0.01 to 10.0;
        /// Whether ends within reach of each other meet in their middle. Default true.
        pub to_ends: bool = true;
        /// Whether an end near another line, or near another part of its own line, is laid onto the
        /// nearest place of it. Default true.
        pub to_lines: bool = true;
        /// Whether an end near the edge of a region is laid onto the nearest place of it. Default
        /// true.
        pub to_edges: bool = true;
        /// How a line reaches the place. Default `bent`.
        pub reaches: Reaches = Reaches::Bent;
        /// What ends are snapped onto. Default `all`.
        pub onto: Onto = Onto::All;
    }
}

/// Snaps the ends of the lines among the objects at the places `selected`.
///
/// # Errors
/// None: lines that are sewn already are left alone, with a warning.
pub fn snap_ends(
    mut design: Design,
    selected: &[usize],
    settings: &SnapEnds,
) -> Result<Design, Failure> {
    let mut paths = Vec::new();
    for &place in selected {
        let Some(object) = design.objects.get(place) else {
            continue;
        };
        let Shape::Lines(lines) = &object.shape else {
            continue;
        };
        if !object.stitches.is_empty() {
            messages::report(
                Finding::warning("It is sewn already, so its ends were left where they are.")
                    .about(&object.id)
                    .help("Run `snap-ends` before the steps that make stitches."),
            );
            continue;
        }
        for (number, line) in lines.paths.iter().enumerate() {
            paths.extend(Path::open(place, number, line));
        }
    }
    if paths.is_empty() {
        messages::report(
            Finding::note("No line with ends that can be moved was selected.")
                .help("Select lines that are not closed, or take the step out of the pipeline."),
        );
        return Ok(design);
    }
    let fixed = target::fixed(&design.objects, selected, &paths, settings);
    let snapped = snap::all(&mut paths, &fixed, settings);
    for path in &paths {
        if path.is_changed() {
            write_back(&mut design.objects[path.object], path);
        }
    }
    tally::report(&design.objects, &paths, &snapped, settings);
    Ok(design)
}

/// Puts a changed line back. Wishes for start and finish that lay on its ends go with them.
fn write_back(object: &mut Object, path: &Path) {
    let sewing = &mut object.sewing;
    for wish in sewing.start.iter_mut().chain(&mut sewing.finish) {
        for side in path::Side::BOTH {
            let at: Coord<f64> = (*wish).into();
            if geometry::measure::distance(at, path.end(side)) < path::SAME_PLACE {
                *wish = path.end_now(side).into();
                break;
            }
        }
    }
    if let Shape::Lines(lines) = &mut object.shape
        && let Some(line) = lines.paths.get_mut(path.number)
    {
        *line = path.to_polyline();
    }
}

design_step! {
    name: "snap-ends",
    summary: "Snaps the ends of lines to each other, to other lines, and to edges of regions.",
    manual: include_str!("../manual.md"),
    settings: SnapEnds,
    process: snap_ends,
}
