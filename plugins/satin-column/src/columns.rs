//! The columns of an object, and what is worth saying about them.

use crate::direction::{Mark, turn};
use crate::line::column_of_line;
use crate::round::round_column;
use crate::sew::Sewing;
use crate::strand::{Strand, strands_of};
use hoopwright_sdk::geometry::medial_axis::{Pruning, medial_axis};
use hoopwright_sdk::prelude::*;

/// Corners blunter than about 70° belong to the end or the side of a column; sharper ones get a
/// column of their own.
const LONG_SHAPE: Pruning = Pruning {
    least_separation: 30.0,
    least_reach: 0.75,
};

/// The columns of an object's shape.
///
/// # Errors
/// A warning that says why there are none.
pub fn strands_of_object(object: &Object, width: Option<f64>) -> Result<Vec<Strand>, Finding> {
    let strands = match &object.shape {
        Shape::Lines(lines) => {
            let width = width
                .filter(|width| width.is_finite() && *width > 0.0)
                .unwrap_or(lines.width);
            if !width.is_finite() || width <= 0.0 {
                return Err(Finding::warning(
                    "The line has no width, so satin cannot be sewn along it.",
                )
                .help("Set \"width\", or sew it with line-run."));
            }
            let columns = lines
                .paths
                .iter()
                .filter_map(|path| column_of_line(path, width));
            columns.map(Strand::alone).collect()
        }
        Shape::Region(region) => {
            let axis = medial_axis(&region.to_multi_polygon(), LONG_SHAPE);
            let mut strands = strands_of(&axis);
            for node in axis.nodes.iter().filter(|node| node.ends.is_empty()) {
                strands.extend(round_column(&axis, node, object.sewing.angle).map(Strand::alone));
            }
            strands
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
    Ok(strands)
}

/// Turns crossings to the object's direction marks. Gives a warning for marks that lie on no
/// column.
pub fn turn_to_marks(strands: &mut [Strand], object: &Object) -> Option<Finding> {
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
pub fn findings(strands: &[Strand], how: &Sewing, greatest_width: f64) -> Vec<Finding> {
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
    let narrow = strands
        .iter()
        .filter(|strand| how.is_narrow(&strand.column));
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
        let message = format!(
            "{what} at most {width:.2} mm wide, under the least width of {:.2} mm, and sewn as a run.",
            how.least_width,
        );
        findings.push(
            Finding::note(message)
                .at(place.middle)
                .help("Draw it wider, or lower \"least-width\"."),
        );
    }
    findings
}
