//! What becomes of a way that is not sewn.

use crate::thread_path::{Gap, Sewn};
use crate::tie::SHORTEST;
use crate::travel::travel_places;
use crate::{HiddenTravel, TiesAndTrims};
use hoopwright_sdk::geometry::hidden_ways::HiddenWays;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// What becomes of a way that is not sewn.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Passage {
    /// The thread runs on; the way stays as it is.
    RunsOn,
    /// The thread runs on, and the next object begins here, where the last one ends: the way between them
    /// is too short for a stitch.
    Meets(Coord<f64>),
    /// The run of thread ends here and another begins; nothing is to be done about it: the
    /// design's ends, a thread change, a stop, or a cut that was there.
    Ends,
    /// The thread is cut.
    Cut,
    /// Too long to be left, but the object that the cut belongs to is not selected.
    CutNotAllowed,
    /// Later objects hide the way; it stays a jump with a tie at either end.
    HiddenJump,
    /// Later objects hide the way; it is sewn through these places.
    HiddenStitches(Vec<Coord<f64>>),
}

impl Passage {
    /// Whether a run of thread ends and another begins.
    pub fn parts_the_thread(&self) -> bool {
        !matches!(
            self,
            Self::RunsOn | Self::Meets(_) | Self::HiddenStitches(_)
        )
    }
}

/// What becomes of `gap`.
pub(crate) fn decide(
    gap: &Gap,
    sewn: &[Sewn],
    ways: &HiddenWays,
    settings: &TiesAndTrims,
) -> Passage {
    let (Some(after), Some(before)) = (gap.after, gap.before) else {
        return Passage::Ends;
    };
    let (Some(from), Some(to)) = (sewn.get(after.object), sewn.get(before.object)) else {
        return Passage::Ends;
    };
    let thread_changes = from.object.thread != to.object.thread;
    // A trim that is still there belongs to an object that is not selected, or of stitches alone.
    let cut = |kind| matches!(kind, StitchKind::Stop | StitchKind::Trim);
    if thread_changes || gap.loose(sewn).any(cut) {
        return Passage::Ends;
    }
    let length = distance(after.at, before.at);
    let inside = after.object == before.object;
    if length <= settings.trim_over {
        let may_move = !inside && to.selected && !matches!(to.object.shape, Shape::Manual);
        let next = to.stitches.get(before.stitch + 1);
        let next_is_far = next.is_none_or(|next| distance(after.at, next.at) >= SHORTEST);
        let nothing_between = gap.loose(sewn).next().is_none();
        return if length < SHORTEST && may_move && next_is_far && nothing_between {
            Passage::Meets(after.at)
        } else {
            Passage::RunsOn
        };
    }
    // An object's own later stitches may lie elsewhere, so inside it only other objects count.
    let first_later = if inside {
        before.object + 1
    } else {
        before.object
    };
    if let Some(way) = ways.way(after.at, before.at, first_later, settings.hidden_travel) {
        if settings.hidden_travel_as == HiddenTravel::Jump || !to.selected {
            return Passage::HiddenJump;
        }
        if !inside {
            // The first step leads from the object before and must itself need no trim.
            let longest = settings
                .travel_stitch_length
                .min(settings.trim_over)
                .max(0.5);
            return Passage::HiddenStitches(travel_places(&way, longest));
        }
        // Travel sewn inside an object could not be told from its own, and so never be taken away again.
    }
    if to.selected {
        Passage::Cut
    } else {
        Passage::CutNotAllowed
    }
}
