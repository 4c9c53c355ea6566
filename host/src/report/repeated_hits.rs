//! Thread breaks: the needle strikes one place again and again.

use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use super::short_stitches::outside_ties;
use crate::formats::dst::grid::{Grid, Units};

/// All places of the machine's grid of 0.1 mm within 0.2 mm of one.
const NEAR: [Units; 13] = [
    [0, 0],
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
    [1, 1],
    [1, -1],
    [-1, 1],
    [-1, -1],
    [2, 0],
    [-2, 0],
    [0, 2],
    [0, -2],
];

/// The most needle points of one object within 0.2 mm of one of them, itself included, on the
/// machine's own grid. Ties strike close together on purpose and are left out.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let limit = limits.of(Measure::RepeatedHits);
    let judged = outside_ties(points);
    let object_of = |place: &usize| points.all[*place].object;
    let spots = judged
        .chunk_by(|a, b| object_of(a) == object_of(b))
        .flat_map(|places| {
            let object = object_of(&places[0]);
            // From whatever point of the grid they are counted, they lie as far apart.
            let grid = Grid::default();
            let units = |&place: &usize| grid.place(points.all[place].at);
            let hits: Vec<Units> = places.iter().map(units).collect();
            let counts = within_reach(&hits);
            let spots = places.iter().zip(counts).map(move |(&place, count)| Spot {
                value: count as f64,
                at: Some(points.all[place].at),
                object: Some(object),
            });
            // Points on one place or side by side all see each other: one of them tells.
            let mut spots: Vec<Spot> = spots.collect();
            spots.sort_by(|a, b| b.value.total_cmp(&a.value));
            spots
        });
    Measurement::worst(Measure::RepeatedHits, limit, spots)
}

/// Of each place, how many of all lie within 0.2 mm of it, itself included.
pub(super) fn within_reach(hits: &[Units]) -> Vec<usize> {
    let mut sorted = hits.to_vec();
    sorted.sort_unstable();
    let struck: Vec<(Units, usize)> = sorted
        .chunk_by(|a, b| a == b)
        .map(|same| (same[0], same.len()))
        .collect();
    let of_place: Vec<usize> = struck
        .iter()
        .map(|&(place, _)| {
            let at = |off: &Units| {
                let key = [place[0] + off[0], place[1] + off[1]];
                let found = struck.binary_search_by_key(&key, |&(place, _)| place);
                found.map_or(0, |found| struck[found].1)
            };
            NEAR.iter().map(at).sum()
        })
        .collect();
    let count = |place: &Units| {
        let found = struck.binary_search_by_key(place, |&(place, _)| place);
        found.map_or(0, |found| of_place[found])
    };
    hits.iter().map(count).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::StitchRole;
    use crate::report::designs::{self, at, manual};
    use proptest::prelude::*;

    fn hits(places: &[(f64, f64)]) -> Measurement {
        let design = manual(&[("a", 0)], |_, list| {
            list.needle(StitchRole::Underlay, at(50.0, 50.0));
            for (i, &(x, y)) in places.iter().enumerate() {
                list.needle(StitchRole::Cover, at(x, y));
                list.needle(StitchRole::Underlay, at(5.0 + i as f64, 5.0));
            }
        });
        let points = designs::points(&design);
        take(&points, &Limits::default())
    }

    #[test]
    fn places_within_a_fifth_of_a_mm_count_and_farther_ones_do_not() {
        assert_eq!(hits(&[(0., 0.), (0.2, 0.), (0., 0.2)]).value, Some(3.0));
        assert_eq!(hits(&[(0., 0.), (0.2, 0.1)]).value, Some(1.0));
        let five = hits(&[(0., 0.); 5]);
        assert_eq!((five.value, five.spots.len()), (Some(5.0), 5));
        assert_eq!(hits(&[(0., 0.); 4]).spots.len(), 0);
    }

    proptest! {
        /// By brute force: all pairs, on the machine's grid.
        #[test]
        fn the_counts_are_those_of_all_pairs(
            places in prop::collection::vec((-8i32..8, -8i32..8), 0..60),
        ) {
            let hits: Vec<Units> = places.iter().map(|&(x, y)| [x, y]).collect();
            let expected: Vec<usize> = hits
                .iter()
                .map(|a| {
                    let near = |b: &&Units| (a[0] - b[0]).pow(2) + (a[1] - b[1]).pow(2) <= 4;
                    hits.iter().filter(near).count()
                })
                .collect();
            prop_assert_eq!(within_reach(&hits), expected);
        }
    }
}
