//! Thread nests: ties where the thread is not cut.

use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::design::StitchRole;
use crate::formats::dst::route::{NeedlePoint, Way};
use hoopwright_geometry::measure::distance;

/// A loose thread longer than this is tied at both ends though it is not cut, in mm: travel is
/// trimmed from 5 to 8 mm (read in trade sources), and where it is not, it wants a tie.
const LOOSE: f64 = 5.0;

/// How many groups of tie stitches a run of thread has beyond one at its beginning and one at its
/// end. A run goes from one cut, halt or long loose thread to the next.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    if !points.roles && !points.all.is_empty() {
        return Measurement::not(
            Measure::ExtraTies,
            "no stitch tells what it is for, so that ties cannot be told from stitches",
        );
    }
    let limit = limits.of(Measure::ExtraTies);
    let spots: Vec<Spot> = runs(&points.all)
        .filter_map(|run| {
            let groups = groups(run);
            let allowed = 2;
            let extra = groups.get(1).filter(|_| groups.len() > allowed)?;
            Some(Spot {
                value: (groups.len() - allowed) as f64,
                at: Some(extra.at),
                object: Some(extra.object),
            })
        })
        .collect();
    let total = spots.iter().map(|spot| spot.value).sum();
    let mut taken = Measurement::worst(Measure::ExtraTies, limit, spots);
    taken.value = Some(total);
    taken
}

/// The needle points of each run of thread.
fn runs(all: &[NeedlePoint]) -> impl Iterator<Item = &[NeedlePoint]> {
    all.chunk_by(|from, to| match to.way {
        Way::Sewn => true,
        Way::Carried => distance(from.at, to.at) <= LOOSE,
        Way::Begins | Way::Cut | Way::CutByLength => false,
    })
}

/// The first needle point of each group of tie stitches. At the border of two objects one tie
/// ends and another begins, though both lie side by side.
fn groups(run: &[NeedlePoint]) -> Vec<NeedlePoint> {
    let tie = |needle: &NeedlePoint| needle.role == StitchRole::Tie;
    run.chunk_by(|a, b| tie(a) == tie(b) && a.object == b.object)
        .filter_map(|group| group.first().filter(|first| tie(first)))
        .copied()
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::StitchList;
    use crate::report::designs::{self, at, manual};

    fn tie(list: &mut StitchList, x: f64) {
        for step in [0.7, 0.2, 0.0] {
            list.needle(StitchRole::Tie, at(x + step, 0.0));
        }
    }

    fn sew(list: &mut StitchList, ties: &[bool]) {
        for (i, &tied) in ties.iter().enumerate() {
            let x = 3.0 * i as f64;
            list.needle(StitchRole::Cover, at(x, 0.0));
            if tied {
                tie(list, x);
            }
        }
    }

    fn extra(ties: &[bool]) -> Option<f64> {
        let design = manual(&[("a", 0)], |_, list| sew(list, ties));
        let points = designs::points(&design);
        take(&points, &Limits::default()).value
    }

    #[test]
    fn one_tie_at_each_end_is_allowed_and_more_are_not() {
        assert_eq!(extra(&[true, false, true]), Some(0.0));
        assert_eq!(extra(&[true, true, true, true]), Some(2.0));
    }

    #[test]
    fn each_run_of_thread_has_its_own_two() {
        let design = manual(&[("a", 0), ("b", 0)], |place, list| {
            if place == 1 {
                list.trim(at(0.0, 0.0));
            }
            sew(list, &[true, false, true]);
        });
        let points = designs::points(&design);
        let taken = take(&points, &Limits::default());
        assert_eq!((taken.value, taken.spots.len()), (Some(0.0), 0));
    }

    #[test]
    fn two_objects_that_each_tie_without_a_cut_have_two_too_many() {
        let design = manual(&[("a", 0), ("b", 0)], |_, list| {
            sew(list, &[true, false, true]);
        });
        let points = designs::points(&design);
        // The way back to the beginning is 6 mm and loose: a run of its own.
        assert_eq!(take(&points, &Limits::default()).value, Some(0.0));
        let design = manual(&[("a", 0), ("b", 0)], |_, list| {
            sew(list, &[true, true]);
        });
        let points = designs::points(&design);
        let taken = take(&points, &Limits::default());
        assert_eq!(taken.value, Some(2.0));
        assert_eq!(taken.spots[0].object, Some(0));
    }

    #[test]
    fn without_roles_it_is_not_taken() {
        let design = manual(&[("a", 0)], |_, list| {
            list.needle(StitchRole::Cover, at(0.0, 0.0));
            list.needle(StitchRole::Cover, at(3.0, 0.0));
        });
        let points = designs::points(&design);
        let taken = take(&points, &Limits::default());
        assert!(taken.value.is_none() && taken.remark.is_some());
    }
}
