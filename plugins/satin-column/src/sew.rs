//! One column sewn: a pass of its underlay, or its cover.

use crate::column::{Column, Rung};
use crate::crossings::{Crossing, closed_with_overlap, crossings};
use crate::needle::Needle;
use crate::pull::Pull;
use crate::split::split_points;
use crate::strand::Strand;
use crate::underlay::{Laying, Pass, Underlay, line_of};
use crate::zigzag::{Zigzag, nearer_side, zigzag};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// The thread goes back over a crossing where that shortens the way to the next section by more than
/// this, in mm.
const WAITING: f64 = 2.0;

/// Columns over what others leave bare are satin from this width on, in mm.
const LEAST_PATCH: f64 = 0.8;

/// Places at least this share of the least width wide, and no wider than it by the same ratio, are much alike
/// where they are drawn in one object.
const ALIKE: f64 = 0.6;

/// How columns are sewn.
#[derive(Clone, Copy, Debug)]
pub struct Sewing {
    /// The cover.
    pub zigzag: Zigzag,
    /// How far the cover reaches past the edges.
    pub pull: Pull,
    /// What lies under the cover.
    pub underlay: Underlay,
    /// How that lies.
    pub laying: Laying,
    /// The longest stitch of runs, in mm.
    pub run_stitch: f64,
    /// Columns that are nowhere as wide as this are sewn as a run, in mm.
    pub least_width: f64,
}

/// The least width for the columns of one object, where the setting is `least` mm. Were each column judged
/// by that, a bold stem would have a hairline for an arm though both are drawn alike. So the places about
/// as wide decide together, as they typically are, to which side of the least width all such columns fall.
pub fn least_width_among(strands: &[Strand], least: f64) -> f64 {
    let drawn = strands.iter().filter(|strand| !strand.is_patch);
    let mut widths: Vec<f64> = drawn
        .flat_map(|strand| strand.column.rungs().map(Rung::width))
        .filter(|width| (least * ALIKE..least / ALIKE).contains(width))
        .collect();
    widths.sort_by(f64::total_cmp);
    match widths.get(widths.len() / 2) {
        Some(&typical) if typical < least - 1e-6 => least / ALIKE,
        Some(_) => least * ALIKE,
        None => least,
    }
}

impl Sewing {
    /// Whether a column is too narrow for satin. What only patches others lies partly under them,
    /// where narrow satin would heap up.
    pub fn is_narrow(&self, strand: &Strand) -> bool {
        let least = if strand.is_patch {
            self.least_width.max(LEAST_PATCH)
        } else {
            self.least_width
        };
        strand.column.greatest_width() < least - 1e-6
    }
}

/// Sews one pass of underlay from the start of `column` to its end.
pub fn underlay_pass(needle: &mut Needle, pass: Pass, column: &Column, how: &Sewing) {
    let line = line_of(pass, column, how.laying, needle.at());
    match pass {
        Pass::Zigzag => needle.sew(&line, StitchRole::Underlay),
        Pass::Centre | Pass::Edge(_) => needle.run(&line, how.run_stitch, StitchRole::Underlay),
    }
}

/// Sews the cover from the start of `column` to its end.
pub fn cover(needle: &mut Needle, column: &Column, how: &Sewing) {
    let mut end = None;
    let mut before: Option<Crossing> = None;
    let last = column.sections.len().saturating_sub(1);
    for (number, section) in column.sections.iter().enumerate() {
        let rungs = if column.closed {
            closed_with_overlap(section)
        } else {
            section.clone()
        };
        let crossings = crossings(&rungs, how.zigzag.density, column.pull);
        if let (Some(before), Some(first), Some(here)) = (before, crossings.first(), needle.at()) {
            // Where the column narrows at a stroke, the thread waits on the side where it goes on.
            let ahead = |p: Coord<f64>| distance(p, first.left).min(distance(p, first.right));
            let nearer = [before.left, before.right]
                .into_iter()
                .min_by(|&a, &b| ahead(a).total_cmp(&ahead(b)));
            if let Some(nearer) = nearer
                && ahead(nearer) + WAITING < ahead(here)
            {
                let back = split_points(here, nearer, how.zigzag.longest, 0);
                needle.cover(&back, [false; 2]);
                needle.cover(&[nearer], [false; 2]);
            }
        }
        let side = nearer_side(crossings.first(), needle.at());
        let points = zigzag(&crossings, side, how.zigzag);
        needle.cover(&points, [number > 0, number < last]);
        before = crossings.last().copied();
        end = points.last().copied();
    }
    if let Some(end) = end {
        needle.reach(end);
    }
}
