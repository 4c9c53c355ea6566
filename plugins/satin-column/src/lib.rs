//! Turns lines and long regions into satin columns.
//!
//! The way through the crate: [`columns`] makes columns of the shape: of lines through
//! [`line`](mod@line) (with their [`taper`] and [`corner`]s), of regions along their medial axis
//! through [`strand`] and [`fork`], with a [`cap`] at each end, [`fan`]s at sharp corners mitred into
//! their [`tip`] in [`sections`], and bends evened by [`relax`]; [`round`] serves what has no length. [`direction`]
//! turns them to the object's marks, [`inside`] cuts them off at bays, and [`bare`] finds what they
//! leave bare; [`straight`] goes over what they would heap on, and [`join`] joins what touches. [`route`] leads the thread through them in
//! [`order`], over a [`tree`], [`part`] by part; [`sew`] lays [`underlay`] and cover: [`crossings`]
//! over the column, which reach past its edges by the [`pull`] compensation and are wider in the
//! [`manner`] of narrow places, a [`zigzag`] over the
//! crossings, with [`short_stitches`] and [`split`] stitches; [`needle`] keeps every move within
//! what a machine can sew.

mod bare;
mod cap;
mod column;
mod columns;
mod corner;
mod crossings;
mod direction;
mod fan;
mod fence;
mod fork;
mod inside;
mod join;
mod line;
mod manner;
mod needle;
mod order;
mod part;
mod pull;
mod rails;
mod ray;
mod relax;
mod round;
mod route;
mod sections;
mod sew;
mod short_stitches;
mod split;
mod straight;
mod strand;
mod taper;
mod tip;
mod tree;
mod uncross;
mod underlay;
mod zigzag;

pub use underlay::Underlay;

use crate::pull::Pull;
use crate::sew::{Sewing, least_width_among};
use crate::taper::Widths;
use crate::underlay::Laying;
use crate::zigzag::Zigzag;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::stitch_making::{refuse_giants, within};

settings! {
    /// Sews lines and long regions as satin: stitches from edge to edge, square to the column.
    pub struct SatinColumn {
        /// Density: from line 1 to line 3, which is one full zigzag, so that neighbouring lines
        /// lie half of it apart. On bends it is measured on the outer edge. 0.4 to 0.45 mm covers
        /// with 40 weight thread. An object's own density wins.
        pub density: f64 = 0.4, in "mm", from 0.15 to 5.0;
        /// How far stitches reach past each edge, to make up for the pull of the thread: 0.1 to
        /// 0.2 mm on woven cloth, 0.2 to 0.35 on pique, 0.35 to 0.4 on fleece.
        pub pull_compensation: f64 = 0.2, in "mm", from -0.5 to 2.0;
        /// How far stitches reach past the left edge, in place of `pull-compensation`. Left is as
        /// one goes along a line the way it is drawn. Columns of regions count as going to the
        /// right, or up where they are steeper than 45 degrees, so that left is their upper or left
        /// edge; rings count as going round clockwise, so that left is the outer edge.
        pub pull_compensation_left: Option<f64> = None, in "mm", from -0.5 to 2.0;
        /// How far stitches reach past the right edge, in place of `pull-compensation`: the lower
        /// or right edge of a region's column, and the inner edge of a ring.
        pub pull_compensation_right: Option<f64> = None, in "mm", from -0.5 to 2.0;
        /// How much wider stitches get besides, in percent of the column's width at each place, half
        /// of it at each edge: wide columns pull in more. It adds to the compensation in mm; no
        /// stitch reaches more than 3 mm past an edge, whatever both add up to.
        pub pull_compensation_percent: f64 = 0.0, in "percent", from 0.0 to 50.0;
        /// What is sewn first, under the satin.
        pub underlay: Underlay = Underlay::Automatic;
        /// How far inside a column's edges underlay stays, in mm. Default 0.4. It runs up to the ends.
        pub underlay_inset: f64 = 0.4, in "mm", from 0.0 to 3.0;
        /// Longest stitch of underlay runs and of the way from one column to another.
        pub underlay_stitch_length: f64 = 2.5, in "mm", from 1.0 to 7.0;
        /// Density of the underlay's zigzag: from line 1 to line 3, so that neighbouring lines lie
        /// half of it apart.
        pub underlay_density: f64 = 3.0, in "mm", from 1.0 to 10.0;
        /// Stitches longer than this are split by needle points on the way. An object's own
        /// stitch length wins.
        pub split_over: f64 = 7.0, in "mm", from 2.0 to 11.0;
        /// Columns wider than this are reported: they are sewn as split satin, and a fill may hold
        /// better.
        pub greatest_width: f64 = 9.0, in "mm", from 1.0 to 100.0;
        /// Columns that are nowhere as wide as this are sewn as a run along their middle, two or
        /// three times over. Those of one object that are about as wide, from 0.6 times to 1.67 times, are
        /// all sewn alike, as satin or as a run: as their width is for most of their length.
        /// Satin narrower than about 1 mm makes stitches too short to sew well: from this width on, and in
        /// points, narrow places are sewn wider than drawn, at the same density, to each side by up to
        /// 0.2 mm beyond the pull compensation.
        pub least_width: f64 = 0.5, in "mm", from 0.0 to 5.0;
        /// Shortens every other stitch on the inside of bends where needle points would crowd, and every other
        /// one of the rest where they crowd still. Default on.
        pub short_stitches: bool = true;
        /// The width to sew lines with, instead of the drawn one. Lines drawn without a width
        /// need it. Regions take no notice of it.
        pub width: Option<f64> = None, in "mm", from 0.1 to 100.0;
        /// The width of lines at their start, for columns that taper; 0 makes a point. From there
        /// the width changes evenly to that at the end. Left out, the start has the line's width.
        /// Closed lines have this width all round.
        pub width_at_start: Option<f64> = None, in "mm", from 0.0 to 100.0;
        /// The width of lines at their end, for columns that taper; 0 makes a point. Left out, the
        /// end has the line's width.
        pub width_at_end: Option<f64> = None, in "mm", from 0.0 to 100.0;
        /// Adds the satin after the stitches that the object has already, instead of replacing them.
        pub add: bool = false;
    }
}

impl SatinColumn {
    fn sewing(&self, object: &Object) -> Sewing {
        let density = object.density_or(self.density, 0.1..=10.0);
        let longest = object.stitch_length_or(self.split_over, 2.0..=11.0);
        let compensation =
            |side: Option<f64>| within(side.unwrap_or(self.pull_compensation), -1.0..=5.0);
        let share = within(self.pull_compensation_percent, 0.0..=100.0) / 100.0;
        Sewing {
            zigzag: Zigzag {
                density,
                longest,
                short_stitches: self.short_stitches,
            },
            // Sides of a rung are named in coordinates; with y down, its left is seen on the right.
            pull: Pull::new(
                compensation(self.pull_compensation_right),
                compensation(self.pull_compensation_left),
                share,
            ),
            underlay: self.underlay,
            laying: Laying {
                inset: within(self.underlay_inset, 0.0..=10.0),
                spacing: within(self.underlay_density, 0.5..=20.0),
                longest,
            },
            run_stitch: within(self.underlay_stitch_length, 0.8..=11.0),
            least_width: within(self.least_width, 0.0..=50.0),
        }
    }
}

/// Sews `object` as satin: the step itself.
///
/// # Errors
/// When the shape is larger than any hoop (3 m). What cannot be sewn is reported as a finding.
pub fn satin_column(
    mut object: Object,
    _thread: &Thread,
    settings: &SatinColumn,
) -> Result<Object, Failure> {
    refuse_giants(&object)?;
    let mut how = settings.sewing(&object);
    let widths = Widths {
        throughout: settings.width,
        at_start: settings.width_at_start,
        at_end: settings.width_at_end,
    };
    let longest = how.zigzag.longest;
    let columns = columns::strands_of_object(&object, widths, how.pull, longest);
    let (strands, findings) = match columns {
        Ok(found) => found,
        Err(finding) => {
            messages::report(finding.about(&object.id));
            return Ok(object);
        }
    };
    how.least_width = least_width_among(&strands, how.least_width);
    let of_widths = columns::findings(&strands, &how, settings);
    for finding in findings.into_iter().chain(of_widths) {
        messages::report(finding.about(&object.id));
    }
    let place = |point: Option<Point>| point.map(Coord::from);
    let (start, finish) = (place(object.sewing.start), place(object.sewing.finish));
    let mut list = StitchList::new();
    if settings.add {
        list.extend(stitches_of(&object.stitches));
    }
    let stitches = route::sew_all(&strands, &how, start.or(list.last()), finish);
    list.go_on(stitches);
    object.stitches = list.into_blocks();
    Ok(object)
}

object_step! {
    name: "satin-column",
    summary: "Sews lines and long regions as satin, square to the column.",
    manual: include_str!("../manual.md"),
    settings: SatinColumn,
    process: satin_column,
}

#[cfg(test)]
mod tests;
