//! Thread breaks: stitches so short that the needle strikes the thread it has just laid.

use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::design::StitchRole;
use crate::formats::dst::route::{NeedlePoint, Way};
use hoopwright_geometry::measure::distance;

/// Stitches are safe from this length on, in mm: Printwear, December 2016, p. 30.
const SAFE: f64 = 1.0;
/// A hard floor, in mm: common practice has 0.3 to 0.5, no source.
const FLOOR: f64 = 0.3;
/// Lengths this near to a limit are at it, in mm: what adding and taking away coordinates costs.
const ROUNDING: f64 = 1e-9;
/// Without roles so many stitches at each end of a run of thread are taken for its tie: common are
/// 3 to 5 (H. Hart Momsen), and one comes to where the tie begins.
const TIE_STITCHES: usize = 6;
/// What an object must have of short stitches before its share means anything.
const FEWEST: usize = 20;

/// The share of stitches under 1 mm outside ties, by object; and how many are under 0.3 mm.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> [Measurement; 2] {
    let objects = points.design.objects.len();
    let mut judged = vec![0usize; objects];
    let mut short: Vec<Vec<(f64, usize)>> = vec![Vec::new(); objects];
    for place in outside_ties(points) {
        let (from, to) = (&points.all[place - 1], &points.all[place]);
        let length = distance(from.at, to.at);
        judged[to.object] += 1;
        if length < SAFE - ROUNDING {
            short[to.object].push((length, place));
        }
    }
    let at = |place: usize| Some(points.all[place].at);
    let all: usize = judged.iter().sum();
    let all_short: usize = short.iter().map(Vec::len).sum();
    let shares = short.iter().enumerate().filter_map(|(object, short)| {
        let shortest = short.iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
        (short.len() >= FEWEST).then(|| Spot {
            value: 100.0 * short.len() as f64 / judged[object].max(1) as f64,
            at: at(shortest.1),
            object: Some(object),
        })
    });
    let limit = limits.of(Measure::ShortStitches);
    let mut share = Measurement::worst(Measure::ShortStitches, limit, shares);
    // The value told is that of the whole design; the limits are for each object.
    share.value = Some(100.0 * all_short as f64 / all.max(1) as f64);

    let tiny = short.iter().enumerate().filter_map(|(object, short)| {
        let tiny = short
            .iter()
            .filter(|(length, _)| *length < FLOOR - ROUNDING);
        let shortest = tiny.clone().min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Spot {
            value: tiny.count() as f64,
            at: at(shortest.1),
            object: Some(object),
        })
    });
    let tiny: Vec<Spot> = tiny.collect();
    let count = tiny.iter().map(|spot| spot.value).sum();
    let limit = limits.of(Measure::TinyStitches);
    let mut tiny = Measurement::worst(Measure::TinyStitches, limit, tiny);
    tiny.value = Some(count);
    [share, tiny].map(|taken| {
        if points.roles || points.all.is_empty() {
            taken
        } else {
            taken.remark(format!(
                "no stitch tells what it is for: the first and last {TIE_STITCHES} of each run of thread were taken for ties"
            ))
        }
    })
}

/// The places of all needle points that a stitch outside ties leads to.
pub(super) fn outside_ties(points: &NeedlePoints<'_>) -> Vec<usize> {
    let sewn = |place: &usize| points.all[*place].way == Way::Sewn;
    if points.roles {
        let tie = |needle: &NeedlePoint| needle.role == StitchRole::Tie;
        // The stitch that leaves a tie is a part of it, too.
        return (1..points.all.len())
            .filter(sewn)
            .filter(|&place| !tie(&points.all[place]) && !tie(&points.all[place - 1]))
            .collect();
    }
    let mut outside = Vec::new();
    let mut begun = 0;
    for end in 1..=points.all.len() {
        let parted = |needle: &NeedlePoint| !needle.way.lies();
        if points.all.get(end).is_none_or(parted) {
            let last = (end - begun).saturating_sub(TIE_STITCHES);
            let inner = begun + TIE_STITCHES + 1..begun + last.max(TIE_STITCHES + 1);
            outside.extend(inner.filter(sewn));
            begun = end;
        }
    }
    outside
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::{self, at, manual, rows};

    fn taken(lengths: &[f64], role: StitchRole) -> [Measurement; 2] {
        let design = manual(&[("a", 0)], |_, list| {
            let mut x = 0.0;
            list.needle(StitchRole::Underlay, at(x, 0.0));
            for length in lengths {
                x += length;
                list.needle(role, at(x, 0.0));
            }
        });
        let points = designs::points(&design);
        take(&points, &Limits::default())
    }

    #[test]
    fn the_share_is_of_stitches_under_one_mm_and_one_mm_is_safe() {
        let mut lengths = vec![1.0; 80];
        lengths.extend([0.9; 20]);
        let [share, tiny] = taken(&lengths, StitchRole::Cover);
        assert_eq!(share.value, Some(20.0));
        assert_eq!(share.spots[0].value, 20.0);
        assert_eq!((tiny.value, tiny.spots.len()), (Some(0.0), 0));
        assert_eq!(taken(&[1.0; 30], StitchRole::Cover)[0].value, Some(0.0));
    }

    #[test]
    fn none_may_be_under_the_floor_and_the_floor_is_allowed() {
        assert_eq!(taken(&[0.3; 30], StitchRole::Cover)[1].value, Some(0.0));
        let [_, tiny] = taken(&[3.0, 0.2, 3.0, 0.2], StitchRole::Cover);
        assert_eq!(tiny.value, Some(2.0));
        assert_eq!(tiny.spots[0].value, 2.0);
    }

    #[test]
    fn ties_are_left_out() {
        let [share, tiny] = taken(&[0.5; 12], StitchRole::Tie);
        assert_eq!((share.value, tiny.value), (Some(0.0), Some(0.0)));
    }

    #[test]
    fn without_roles_the_ends_of_a_run_are_taken_for_ties() {
        // 41 needle points: 6 stitches at each end are ties, 28 between are judged.
        let design = rows(40, 0.5, 0.0, 1);
        let points = designs::points(&design);
        assert!(!points.roles);
        assert_eq!(outside_ties(&points).len(), 28);
        let [share, _] = take(&points, &Limits::default());
        assert_eq!(share.value, Some(100.0));
        assert!(share.remark.is_some());
        let short = rows(12, 0.5, 0.0, 1);
        let points = designs::points(&short);
        assert_eq!(outside_ties(&points).len(), 0);
    }
}
