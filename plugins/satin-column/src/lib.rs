//! Turns lines and long regions into satin columns.
//!
//! The way through the crate: [`columns`] makes columns of the shape (lines through [`line`](mod@line),
//! regions along their medial axis through [`strand`], [`fork`], [`cap`], [`relax`] and
//! [`round`]), turned to the object's marks by [`direction`]; [`route`] leads the thread through
//! them over a [`tree`]; [`sew`] lays [`underlay`] and cover: [`crossings`] over the column, a
//! [`zigzag`] over the crossings, with [`short_stitches`] and [`split`] stitches; [`needle`] keeps
//! every move within what a machine can sew.

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
mod needle;
mod pull;
mod rails;
mod relax;
mod round;
mod route;
mod sections;
mod sew;
mod short_stitches;
mod split;
mod strand;
mod tree;
mod uncross;
mod underlay;
mod zigzag;

pub use underlay::Underlay;

use crate::pull::Pull;
use crate::sew::Sewing;
use crate::underlay::Laying;
use crate::zigzag::Zigzag;
use hoopwright_sdk::prelude::*;

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
        /// What is sewn first, under the satin.
        pub underlay: Underlay = Underlay::Automatic;
        /// How far inside the edges underlay stays.
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
        /// Columns that are nowhere as wide as this are sewn as a run along their middle.
        pub least_width: f64 = 0.8, in "mm", from 0.0 to 5.0;
        /// Shortens every other stitch on the inside of bends where needle points would crowd.
        pub short_stitches: bool = true;
        /// The width to sew lines with, instead of the drawn one. Lines drawn without a width
        /// need it. Regions take no notice of it.
        pub width: Option<f64> = None;
        /// Adds the satin after the stitches that the object has already, instead of replacing them.
        pub add: bool = false;
    }
}

impl SatinColumn {
    fn sewing(&self, object: &Object) -> Sewing {
        let longest = object.sewing.stitch_length.unwrap_or(self.split_over);
        let longest = within(longest, 1.0, 11.0, 7.0);
        Sewing {
            zigzag: Zigzag {
                density: within(
                    object.sewing.density.unwrap_or(self.density),
                    0.1,
                    10.0,
                    0.4,
                ),
                longest,
                short_stitches: self.short_stitches,
            },
            pull: {
                let both = within(self.pull_compensation, -1.0, 5.0, 0.0);
                Pull::new(both, both, 0.0)
            },
            underlay: self.underlay,
            laying: Laying {
                inset: within(self.underlay_inset, 0.0, 10.0, 0.4),
                spacing: within(self.underlay_density, 0.5, 20.0, 3.0),
                longest,
            },
            run_stitch: within(self.underlay_stitch_length, 0.8, 11.0, 2.5),
            least_width: within(self.least_width, 0.0, 50.0, 0.8),
        }
    }
}

/// A number in a range, or `otherwise` where it is none.
fn within(value: f64, least: f64, greatest: f64, otherwise: f64) -> f64 {
    if value.is_finite() {
        value.clamp(least, greatest)
    } else {
        otherwise
    }
}

/// Sews `object` as satin: the step itself.
///
/// # Errors
/// None at present: what cannot be sewn is reported as a finding.
pub fn satin_column(
    mut object: Object,
    _thread: &Thread,
    settings: &SatinColumn,
) -> Result<Object, Failure> {
    let how = settings.sewing(&object);
    let (strands, idle_marks) = match columns::strands_of_object(&object, settings.width, how.pull)
    {
        Ok(found) => found,
        Err(finding) => {
            messages::report(finding.about(&object.id));
            return Ok(object);
        }
    };
    if let Some(finding) = idle_marks {
        messages::report(finding.about(&object.id));
    }
    for finding in columns::findings(&strands, &how, settings.greatest_width) {
        messages::report(finding.about(&object.id));
    }
    let place = |point: Option<Point>| point.map(Coord::from);
    let (start, finish) = (place(object.sewing.start), place(object.sewing.finish));
    let stitches = route::sew_all(&strands, &how, start, finish);
    let mut list = StitchList::new();
    if settings.add {
        list.extend(stitches_of(&object.stitches));
        if let (Some(last), Some(first)) = (list.last(), stitches.first())
            && geometry::measure::distance(last, first.at) > 1.0
        {
            list.jump(first.at);
        }
    }
    list.extend(stitches);
    object.stitches = list.into_blocks();
    Ok(object)
}

object_step! {
    name: "satin-column",
    summary: "Sews lines and long regions as satin, square to the column.",
    manual: "\
Satin for borders, lettering, stems, beaks and feathers: whatever is 1 to 9 mm wide.

**Lines** are sewn at their drawn width, or at `width`. Bends are sewn round; corners of 50 degrees
and more are mitred.

**Regions** are sewn along their middle, out to their true edges and ends. A ring is sewn all the
way round. A forked region becomes several columns: the straightest way through each fork is one
column, and the others end a little way under it. They are sewn as one thread, side arms first;
the way from one to another runs under stitches that follow. Parts as round as a disc are crossed
square to their longest axis, or at the object's own angle.

**Direction marks** on the object turn the crossings they lie on; between two marks along a column
the turn changes evenly. Draw a mark across the column, the way its stitches should lie.

**Width.** Stitches over `split-over` are split. A column over `greatest-width` is reported: use
`region-fill` if it matters. A column nowhere as wide as `least-width` becomes a run.

**Start and finish.** The thread comes in at the end nearest to the object's start, or to where it
was; it leaves by the end nearest to the object's finish, if one is set.

**Before**: nothing, or steps that cut overlaps. **After**: `ties-and-trims`.",
    settings: SatinColumn,
    process: satin_column,
}

#[cfg(test)]
mod tests;
