//! The columns of an object, and what is worth saying about them.

use crate::SatinColumn;
use crate::bare::bare_pieces;
use crate::direction::{Mark, turn};
use crate::inside::{fence_around, keep_inside};
use crate::join::join_touching;
use crate::line::column_of_line;
use crate::pull::Pull;
use crate::round::round_column;
use crate::sew::Sewing;
use crate::straight::{laid, straight_over};
use crate::strand::{Strand, strands_of};
use crate::taper::Widths;
use geo::{Area, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::medial_axis::{Pruning, medial_axis};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::stitch_making::SMALLEST_AREA;

/// Corners blunter than about 70° belong to the end or the side of a column; sharper ones get a
/// column of their own.
const LONG_SHAPE: Pruning = Pruning {
    least_separation: 30.0,
    least_reach: 0.75,
};

/// What columns leave bare is sewn like a region of its own, and what that leaves again, this often.
const MOST_ROUNDS: usize = 3;

/// The columns of an object's shape, turned to its direction marks, and what is worth saying
/// about how they came to be. Stitches over `longest` mm will be split.
///
/// # Errors
/// A warning that says why there are none.
pub fn strands_of_object(
    object: &Object,
    widths: Widths,
    pull: Pull,
    longest: f64,
) -> Result<(Vec<Strand>, Vec<Finding>), Finding> {
    let (mut strands, findings) = match &object.shape {
        Shape::Lines(lines) => {
            let taper = widths.taper(lines.width)?;
            let (mut strands, mut without_length) = (Vec::new(), Vec::new());
            for path in &lines.paths {
                match column_of_line(path, taper) {
                    Some(column) => strands.push(Strand::alone(column)),
                    None => without_length.push(path.corners().next()),
                }
            }
            let idle_marks = turn_to_marks(strands.iter_mut(), object);
            join_touching(&mut strands);
            let endless = lines.paths.iter().any(|path| path.closed) && taper.changes();
            let no_ends = endless.then(|| {
                Finding::warning(
                    "A closed line has no ends for its width to change between; it is sewn with the width at its start.",
                )
                .help("Open the line, or leave \"width-at-start\" and \"width-at-end\" out.")
            });
            let left_out = left_out(
                &without_length,
                "A line of this object has no length, and is left out.",
                "lines of this object have no length, and are left out.",
            );
            let findings = [left_out, idle_marks, no_ends];
            (strands, findings.into_iter().flatten().collect())
        }
        Shape::Region(region) => {
            let parts = geometry::clean(&region.to_multi_polygon()).into_iter();
            let (parts, too_small): (Vec<_>, Vec<_>) =
                parts.partition(|part| part.unsigned_area() >= SMALLEST_AREA);
            let (strands, idle_marks) = strands_of_region(&parts, object, longest);
            let places = too_small
                .iter()
                .map(|part| part.exterior().0.first().copied());
            let left_out = left_out(
                &places.collect::<Vec<_>>(),
                "A part of this region is too small to sew, and left out.",
                "parts of this region are too small to sew, and left out.",
            );
            let findings = [left_out, idle_marks];
            (strands, findings.into_iter().flatten().collect())
        }
        Shape::Manual => {
            return Err(
                Finding::warning("The object has stitches but no shape to sew satin on.")
                    .help("Leave it out of this step's selection."),
            );
        }
    };
    if strands.is_empty() {
        return Err(
            Finding::warning("The shape is too small to be sewn, or has no length.")
                .help("Draw it larger, or leave it out of this step's selection."),
        );
    }
    for strand in &mut strands {
        let onward = matches!(object.shape, Shape::Lines(_)) || strand.column.runs_onward();
        strand.column.pull = if onward { pull } else { pull.turned() };
    }
    Ok((strands, findings))
}

/// A warning about what is not sewn while the rest is, at the first of its `places`: what to say of
/// one, and of more after their number.
fn left_out(places: &[Option<Coord<f64>>], one: &str, more: &str) -> Option<Finding> {
    let first = places.first()?;
    let message = match places.len() {
        1 => one.to_owned(),
        count => format!("{count} {more}"),
    };
    let finding =
        Finding::warning(message).help("Enlarge the artwork, or remove what is so small.");
    Some(
        match first.filter(|at| at.x.is_finite() && at.y.is_finite()) {
            Some(at) => finding.at(at),
            None => finding,
        },
    )
}

/// Columns along the middle of each part of a region, and over what those leave bare, all joined. A part on which
/// they would heap is crossed straight, if it can be with stitches up to `longest` mm and no mark turns them.
fn strands_of_region(
    parts: &[Polygon<f64>],
    object: &Object,
    longest: f64,
) -> (Vec<Strand>, Option<Finding>) {
    let angle = object.sewing.angle;
    let areas: Vec<MultiPolygon<f64>> = parts.iter().map(|part| part.clone().into()).collect();
    let drawn = areas.iter().map(|area| along_the_axis(area, angle));
    let mut drawn: Vec<Vec<Strand>> = drawn.collect();
    let idle_marks = turn_to_marks(drawn.iter_mut().flatten(), object);
    let mut strands: Vec<Strand> = Vec::new();
    for ((part, area), drawn) in parts.iter().zip(&areas).zip(drawn) {
        let mut columns = covering(area, drawn, angle);
        if object.sewing.direction_marks.is_empty()
            && let Some(column) = straight_over(part, &columns, angle, longest)
        {
            let straight = covering(area, vec![Strand::alone(column)], angle);
            if laid(&straight) < laid(&columns) {
                columns = straight;
            }
        }
        let first = next_fork(&strands);
        strands.extend(columns.into_iter().map(|it| it.with_forks_from(first)));
    }
    join_touching(&mut strands);
    (strands, idle_marks)
}

/// `drawn` as far as it lies in `area`, and columns over what that leaves bare.
fn covering(area: &MultiPolygon<f64>, drawn: Vec<Strand>, angle: Option<f64>) -> Vec<Strand> {
    let fence = fence_around(area);
    let mut strands: Vec<Strand> = drawn
        .into_iter()
        .filter_map(|strand| keep_inside(strand, &fence))
        .collect();
    for _ in 0..MOST_ROUNDS {
        let pieces = bare_pieces(area, &strands);
        if pieces.is_empty() {
            break;
        }
        for piece in pieces {
            let first = next_fork(&strands);
            let columns = along_the_axis(&piece, angle).into_iter();
            let columns = columns.filter_map(|strand| keep_inside(strand, &fence));
            strands.extend(columns.map(|strand| Strand {
                is_patch: true,
                ..strand.with_forks_from(first)
            }));
        }
    }
    strands
}

/// The first number that no fork of `strands` has.
fn next_fork(strands: &[Strand]) -> usize {
    let forks = strands.iter().flat_map(Strand::forks);
    forks.max().map_or(0, |fork| fork + 1)
}

fn along_the_axis(area: &MultiPolygon<f64>, angle: Option<f64>) -> Vec<Strand> {
    let axis = medial_axis(area, LONG_SHAPE);
    let mut strands = strands_of(&axis);
    for node in axis.nodes.iter().filter(|node| node.ends.is_empty()) {
        strands.extend(round_column(&axis, node, angle).map(Strand::alone));
    }
    strands
}

/// Turns crossings to the object's direction marks. Gives a warning for marks that lie on no
/// column.
fn turn_to_marks<'a>(
    strands: impl Iterator<Item = &'a mut Strand>,
    object: &Object,
) -> Option<Finding> {
    let marks: Vec<Mark> = object
        .sewing
        .direction_marks
        .iter()
        .filter_map(|mark| Mark::between(mark.tail.into(), mark.head.into()))
        .collect();
    let mut used = vec![false; marks.len()];
    for strand in strands {
        for (used, here) in used.iter_mut().zip(turn(&mut strand.column, &marks)) {
            *used |= here;
        }
    }
    let idle = used.iter().filter(|used| !**used).count();
    (idle > 0).then(|| {
        Finding::warning(format!(
            "{idle} of {} direction marks lie on no column.",
            marks.len()
        ))
        .help("Draw each mark across the column that it should turn.")
    })
}

/// What is worth saying about the widths of an object's columns.
pub fn findings(strands: &[Strand], how: &Sewing, settings: &SatinColumn) -> Vec<Finding> {
    let (least_width, greatest_width) = (settings.least_width, settings.greatest_width);
    let mut findings = Vec::new();
    let widest = strands
        .iter()
        .flat_map(|strand| strand.column.rungs())
        .max_by(|a, b| a.width().total_cmp(&b.width()));
    if let Some(rung) = widest
        && rung.width() > greatest_width
    {
        let message = format!(
            "The column is {:.1} mm wide, over the greatest width of {greatest_width:.1} mm; it is sewn as split satin.",
            rung.width(),
        );
        findings.push(
            Finding::warning(message)
                .at(rung.middle)
                .help("Sew it with region-fill, or raise \"greatest-width\"."),
        );
    }
    let narrow = strands.iter().filter(|strand| how.is_narrow(strand));
    let count = narrow.clone().count();
    let place = narrow
        .clone()
        .find_map(|strand| strand.column.rungs().next());
    if let Some(place) = place {
        let width = narrow
            .map(|strand| strand.column.greatest_width())
            .fold(0.0, f64::max);
        let what = if count == 1 {
            "A column is".to_owned()
        } else {
            format!("{count} columns are")
        };
        let under = if width < least_width {
            "under"
        } else {
            "about"
        };
        let message = format!(
            "{what} at most {width:.2} mm wide, {under} the least width of {least_width:.2} mm, and sewn as a run.",
        );
        findings.push(
            Finding::note(message)
                .at(place.middle)
                .help("Draw it wider, or lower \"least-width\"."),
        );
    }
    findings
}
