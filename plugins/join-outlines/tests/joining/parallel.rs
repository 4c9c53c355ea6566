//! Lines close to each other that are not one.

use crate::drawing::{joined, length, line};
use hoopwright_join_outlines::JoinOutlines;
use hoopwright_sdk::prelude::*;

/// The length of everything after joining with a reach of 0.3 mm, and the number of objects.
fn sums(objects: Vec<Object>) -> (usize, f64) {
    let (objects, _) = joined(objects, &JoinOutlines::default());
    (objects.len(), objects.iter().map(length).sum())
}

#[test]
fn parallel_lines_beyond_reach_stay_apart() {
    for apart in [0.35, 0.4, 0.6] {
        let pair = vec![
            line("a", &[(0., 0.), (30., 0.)]),
            line("b", &[(0., apart), (30., apart)]),
        ];
        assert_eq!(
            joined(pair.clone(), &JoinOutlines::default()).0,
            pair,
            "{apart} mm"
        );
        // Many corners change nothing, nor do ends beside a line's middle.
        let dense = |y: f64, from: f64| -> Vec<(f64, f64)> {
            (0..=100).map(|i| (from + f64::from(i) * 0.2, y)).collect()
        };
        let pair = vec![line("a", &dense(0., 0.)), line("b", &dense(apart, 5.))];
        assert_eq!(
            joined(pair.clone(), &JoinOutlines::default()).0,
            pair,
            "{apart} mm"
        );
    }
}

/// Within reach, too, lines that run side by side are two: only their ends meet, if anything.
#[test]
fn parallel_lines_within_reach_are_both_sewn() {
    for apart in [0.05, 0.1, 0.2, 0.28] {
        let (count, long) = sums(vec![
            line("a", &[(0., 0.), (30., 0.)]),
            line("b", &[(0., apart), (30., apart)]),
        ]);
        assert_eq!(count, 1, "{apart} mm");
        assert!((long - 60.0).abs() < 0.7, "{apart} mm: {long}");
        let (count, long) = sums(vec![
            line("a", &[(0., 0.), (30., 0.)]),
            line("b", &[(10., apart), (20., apart)]),
        ]);
        assert_eq!(count, 2, "{apart} mm");
        assert!((long - 40.0).abs() < 1e-6, "{apart} mm: {long}");
    }
}

/// Concentric arcs and rings, as in a pupil's outline.
#[test]
fn rings_in_rings_stay_apart() {
    for apart in [0.35, 0.4, 0.6] {
        let ring = |id: &str, radius: f64| {
            let corners: Vec<(f64, f64)> = (0..=120)
                .map(|i| f64::from(i % 120) * 3.0_f64.to_radians())
                .map(|a| (radius * a.cos(), radius * a.sin()))
                .collect();
            line(id, &corners)
        };
        let pair = vec![ring("inner", 5.0), ring("outer", 5.0 + apart)];
        assert_eq!(
            joined(pair.clone(), &JoinOutlines::default()).0,
            pair,
            "{apart} mm"
        );
    }
}

/// Lines that spread from 0.35 mm to a little more or less never meet; those that cross at a
/// shallow angle meet once, where they cross, and both keep their length.
#[test]
fn nearly_parallel_lines_meet_only_where_they_cross() {
    for degrees in [0.3_f64, 1.0, 2.0, 5.0, 10.0] {
        let rise = 30.0 * degrees.to_radians().tan();
        let spread = vec![
            line("a", &[(0., 0.), (30., 0.)]),
            line("b", &[(0., 0.35), (30., 0.35 + rise)]),
        ];
        assert_eq!(
            joined(spread.clone(), &JoinOutlines::default()).0,
            spread,
            "{degrees}°"
        );
        let long = 30.0 + (900.0 + rise * rise).sqrt();
        let (count, sewn) = sums(vec![
            line("a", &[(0., 0.), (30., 0.)]),
            line("b", &[(0., -rise / 2.0), (30., rise / 2.0)]),
        ]);
        assert_eq!(count, 1, "{degrees}°");
        // A star of four arms: two are its ends, two are sewn again; at very shallow angles the
        // ends meet within reach instead.
        assert!(
            sewn >= long - 0.7 && sewn <= long + 30.5,
            "{degrees}°: {sewn} of {long}"
        );
    }
}

/// A Y whose arms leave each other slowly: both arms are kept.
#[test]
fn arms_that_part_slowly_are_two() {
    let (count, long) = sums(vec![
        line("stem", &[(-10., 0.), (0., 0.)]),
        line("upper", &[(0., 0.), (10., 0.2), (20., 1.)]),
        line("lower", &[(0., 0.), (10., -0.2), (20., -1.)]),
    ]);
    assert_eq!(count, 1);
    // Three odd ends and the fork: the stem, the shortest, is sewn again.
    assert!((50.0..60.3).contains(&long), "{long}");
}
