//! What every step that makes stitches needs: which numbers to sew with, what is too large or too
//! small to sew, and how new stitches go on after earlier ones.
//!
//! ```
//! use hoopwright_sdk::prelude::*;
//! use hoopwright_sdk::stitch_making::refuse_giants;
//!
//! settings! {
//!     /// Sews rows of stitches.
//!     pub struct Rows {
//!         /// Longest stitch. An object's own stitch length wins.
//!         pub stitch_length: f64 = 4.0, in "mm", from 1.0 to 12.0;
//!         /// Adds the rows after the stitches that the object has already.
//!         pub add: bool = false;
//!     }
//! }
//!
//! fn rows(mut object: Object, _thread: &Thread, settings: &Rows) -> Result<Object, Failure> {
//!     refuse_giants(&object)?;
//!     let longest = object.stitch_length_or(settings.stitch_length, 1.0..=12.0);
//!     let mut list = StitchList::new();
//!     if settings.add {
//!         list.extend(stitches_of(&object.stitches));
//!     }
//!     let row = [0.0, longest].map(|x| Stitch {
//!         at: Coord { x, y: 0.0 },
//!         kind: StitchKind::Needle,
//!         role: StitchRole::Cover,
//!     });
//!     list.go_on(row);
//!     object.stitches = list.into_blocks();
//!     Ok(object)
//! }
//! ```

use crate::bounds::Bounds;
use crate::geometry::measure::distance;
use crate::messages;
use crate::{
    Failure, Finding, Object, Polyline, Shape, Stitch, StitchKind, StitchList, StitchRole,
};
use std::ops::RangeInclusive;

/// Shapes wider or higher than this are refused, in mm: no hoop comes near, and stitches without end
/// would fill the memory.
pub const LARGEST: f64 = 3000.0;

/// Smaller areas are not sewn, in mm²: a tenth of the hole that a 75/11 needle makes, which is
/// 0.75 mm across.
pub const SMALLEST_AREA: f64 = 0.045;

/// No stitch may be shorter, in mm: the needle would meet its own hole. Common practice (hard floor
/// 0.3 to 0.5 mm).
pub const SHORTEST_STITCH: f64 = 0.3;

/// No stitch may be longer, in mm: a DST record moves at most 12.1 mm on each axis.
pub const LONGEST_STITCH: f64 = 12.0;

/// A stitch up to this long, in mm, leads from the stitches of an object to those added; a longer
/// one would show.
const LONGEST_WAY_ON: f64 = 1.0;

/// `value` moved into `range`; its lower end where it is no number.
pub fn within(value: f64, range: RangeInclusive<f64>) -> f64 {
    value.max(*range.start()).min(*range.end())
}

/// Refuses a shape larger than any hoop: over [`LARGEST`].
///
/// # Errors
/// A sentence that says how large it is.
pub fn refuse_giants(object: &Object) -> Result<(), Failure> {
    let paths: Vec<&Polyline> = match &object.shape {
        Shape::Lines(lines) => lines.paths.iter().collect(),
        // A hole that reaches out of its polygon is filled beyond it.
        Shape::Region(region) => {
            let polygons = region.polygons.iter();
            polygons
                .flat_map(|it| std::iter::once(&it.outer).chain(&it.holes))
                .collect()
        }
        Shape::Manual => Vec::new(),
    };
    let Some(bounds) = Bounds::around_places(paths.into_iter().flat_map(Polyline::corners)) else {
        return Ok(());
    };
    let size = bounds.across.length().max(bounds.down.length());
    if size <= LARGEST {
        return Ok(());
    }
    Err(Failure::new(format!(
        "the shape is {size:.0} mm across; {LARGEST:.0} mm is the most that can be sewn"
    ))
    .about(&object.id)
    .help("Check the artwork's unit of length: lengths are in mm."))
}

impl Object {
    /// The density to sew it with, in mm from line 1 to line 3: its own, or else the step's
    /// `setting`, moved into `range`. Where its own lies outside, a warning says so.
    pub fn density_or(&self, setting: f64, range: RangeInclusive<f64>) -> f64 {
        self.own_or(self.sewing.density, setting, range, "a density")
    }

    /// The longest stitch to sew it with, in mm: its own, or else the step's `setting`, moved into
    /// `range`. Where its own lies outside, a warning says so.
    pub fn stitch_length_or(&self, setting: f64, range: RangeInclusive<f64>) -> f64 {
        self.own_or(self.sewing.stitch_length, setting, range, "a stitch length")
    }

    fn own_or(
        &self,
        own: Option<f64>,
        setting: f64,
        range: RangeInclusive<f64>,
        what: &str,
    ) -> f64 {
        let used = within(own.unwrap_or(setting), range.clone());
        if let Some(wanted) = own.filter(|wanted| !range.contains(wanted)) {
            let (least, most) = range.into_inner();
            messages::report(
                Finding::warning(format!(
                    "This object asks for {what} of {wanted} mm; {used} mm is used."
                ))
                .about(&self.id)
                .help(format!("Give it {what} from {least} to {most} mm.")),
            );
        }
        used
    }
}

impl StitchList {
    /// Adds a thread after the stitches that are there, as a step with a setting `add` does. Where the
    /// two meet, the needle goes on from where it is, without a stitch under [`SHORTEST_STITCH`]; up
    /// to 1 mm away a stitch of travel leads over, and farther away a jump.
    pub fn go_on(&mut self, thread: impl IntoIterator<Item = Stitch>) {
        let is_needle = |stitch: &Stitch| stitch.kind == StitchKind::Needle;
        let mut thread = thread.into_iter().peekable();
        if let Some(last) = self.last_stitch() {
            let away = |next: &Stitch| distance(last.at, next.at);
            // After a jump or a trim the needle has yet to go down there.
            let is_down = is_needle(&last);
            let same_hole =
                |next: &Stitch| is_down && is_needle(next) && away(next) < SHORTEST_STITCH;
            let mut meets = false;
            while thread.next_if(same_hole).is_some() {
                meets = true;
            }
            if let Some(mut next) = thread.next_if(is_needle) {
                let way = away(&next);
                if meets && way > LONGEST_STITCH {
                    self.needle(next.role, (last.at + next.at) / 2.0);
                } else if !meets && is_down && way <= LONGEST_WAY_ON {
                    next.role = StitchRole::Travel;
                } else if !meets && way > 0.0 {
                    self.jump(next.at);
                }
                self.push(next);
            }
        }
        self.extend(thread);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stitches_of;
    use StitchKind::{Jump, Needle, Trim};
    use geo::{Coord, line_string};

    fn stitch(kind: StitchKind, x: f64) -> Stitch {
        Stitch {
            at: Coord { x, y: 0.0 },
            kind,
            role: StitchRole::Cover,
        }
    }

    /// After a stitch at 0: what is added, as kinds and places, and whether it begins with travel.
    #[test]
    fn a_thread_goes_on_where_the_one_before_ends() {
        for (kind, thread, added, travels) in [
            // It begins where that ends, or as good as there.
            (Needle, &[0.0, 2.0][..], &[(Needle, 2.0)][..], false),
            (Needle, &[0.2, 0.6], &[(Needle, 0.6)], false),
            (Needle, &[-0.1, 0.25, 0.6], &[(Needle, 0.6)], false),
            (Needle, &[0.1], &[], false),
            // No stitch gets longer than a machine can sew.
            (Needle, &[-0.2, 12.0], &[(Needle, 12.0)], false),
            (
                Needle,
                &[0.2, 12.2],
                &[(Needle, 6.1), (Needle, 12.2)],
                false,
            ),
            // Near, and farther.
            (Needle, &[0.3, 2.0], &[(Needle, 0.3), (Needle, 2.0)], true),
            (Needle, &[1.0, 2.0], &[(Needle, 1.0), (Needle, 2.0)], true),
            (
                Needle,
                &[1.1, 2.0],
                &[(Jump, 1.1), (Needle, 1.1), (Needle, 2.0)],
                false,
            ),
            // The needle has not gone down where a trim led.
            (Trim, &[0.0, 2.0], &[(Needle, 0.0), (Needle, 2.0)], false),
            (
                Trim,
                &[0.2, 2.0],
                &[(Jump, 0.2), (Needle, 0.2), (Needle, 2.0)],
                false,
            ),
        ] {
            let mut list = StitchList::new();
            list.extend([stitch(Needle, -3.0), stitch(kind, 0.0)]);
            list.go_on(thread.iter().map(|&x| stitch(Needle, x)));
            let all: Vec<Stitch> = stitches_of(&list.into_blocks()).skip(2).collect();
            let told: Vec<_> = all.iter().map(|s| (s.kind, s.at.x)).collect();
            assert_eq!(told, added, "{kind:?} {thread:?}");
            let first = all.iter().find(|s| s.kind == Needle);
            let is_travel = first.is_some_and(|s| s.role == StitchRole::Travel);
            assert_eq!(is_travel, travels, "{thread:?}");
        }
    }

    #[test]
    fn the_first_thread_begins_without_a_jump() {
        let mut list = StitchList::new();
        list.go_on([stitch(Needle, 5.0), stitch(Needle, 7.0)]);
        let all: Vec<Stitch> = stitches_of(&list.into_blocks()).collect();
        assert_eq!(all, [stitch(Needle, 5.0), stitch(Needle, 7.0)]);
    }

    #[test]
    fn an_objects_own_number_wins_and_is_kept_within_what_can_be_sewn() {
        let mut object = Object::new("eye", Shape::Manual);
        messages::take();
        assert_eq!(object.density_or(0.4, 0.15..=10.0), 0.4);
        object.sewing.density = Some(0.6);
        assert_eq!(object.density_or(0.4, 0.15..=10.0), 0.6);
        assert!(messages::take().is_empty());
        object.sewing.stitch_length = Some(20.0);
        assert_eq!(object.stitch_length_or(4.0, 1.0..=12.0), 12.0);
        let finding = messages::take().remove(0);
        assert_eq!(
            finding.message,
            "This object asks for a stitch length of 20 mm; 12 mm is used."
        );
        assert_eq!(finding.object.as_deref(), Some("eye"));
        object.sewing.stitch_length = Some(f64::NAN);
        assert_eq!(object.stitch_length_or(4.0, 1.0..=12.0), 1.0);
    }

    #[test]
    fn only_giants_are_refused() {
        let of_length = |x: f64| {
            let line = line_string![(x: 0., y: 0.), (x: x, y: 1.), (x: f64::NAN, y: 1e9)];
            refuse_giants(&Object::of_line("barn", &line, 9e9))
        };
        assert_eq!(of_length(3000.0), Ok(()));
        let failure = of_length(3001.0).expect_err("a giant");
        assert_eq!(
            failure.message,
            "the shape is 3001 mm across; 3000 mm is the most that can be sewn"
        );
        assert_eq!(failure.object.as_deref(), Some("barn"));
    }
}
