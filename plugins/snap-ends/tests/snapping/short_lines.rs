//! Lines so short that both their ends lie near one line or place.

use crate::drawing::{at, corners, line, near, path, run, straight};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_snap_ends::SnapEnds;

/// Ticks of 0.9 mm across a seam, and twigs that stand on it or near it: each keeps its length, less
/// what its nearer end is moved.
#[test]
fn short_lines_are_not_pressed_onto_what_they_cross() {
    let curl: Vec<(f64, f64)> = (0..=18)
        .map(|i| f64::from(i) * 0.05 - 0.45)
        .map(|y| (20. + y * y, y))
        .collect();
    let short: [&[(f64, f64)]; 5] = [
        &[(5., -0.45), (5., 0.45)],
        &[(9., -0.4), (9.6, 0.45)],
        &[(13., 0.), (13., 0.45)],
        &[(16., 0.45), (16.3, 0.05)],
        &curl,
    ];
    for settings in [SnapEnds::default(), straight()] {
        let mut objects = vec![line("seam", &[(0., 0.), (40., 0.)])];
        objects.extend(short.iter().map(|corners| line("short", corners)));
        let done = run(objects.clone(), &settings);
        for (before, after) in objects.iter().zip(&done).skip(1) {
            let (before, after) = (corners(before), corners(after));
            let ends = |line: &[Coord<f64>]| [line[0], line[line.len() - 1]];
            let stay = ends(&before)
                .into_iter()
                .zip(ends(&after))
                .filter(|(a, b)| a == b);
            assert!(stay.count() > 0, "{before:?} became {after:?}");
            let [a, b] = ends(&after);
            assert!(distance(a, b) > 0.25, "{before:?} became {after:?}");
        }
        // The nearer end, and of two as near the first, lies on the seam.
        near(corners(&done[1])[0], at(5., 0.));
        assert!(corners(&done[2]).iter().any(|corner| corner.y.abs() < 1e-9));
        near(corners(&done[3])[0], at(13., 0.));
        assert!(corners(&done[4])[1].y.abs() < 1e-9);
    }
}

/// Where little is lost, both ends are laid onto one line as ever: an arch on a seam, a rung between
/// the two sides of a narrow ring, and a ring that was drawn as an open line.
#[test]
fn short_lines_that_keep_their_form_are_snapped_at_both_ends() {
    let arch = [(5., 0.1), (5.1, 0.6), (5.5, 0.7), (5.7, 0.1)];
    let done = run(
        vec![line("seam", &[(0., 0.), (40., 0.)]), line("arch", &arch)],
        &SnapEnds::default(),
    );
    near(corners(&done[1])[0], at(5., 0.));
    near(corners(&done[1])[3], at(5.7, 0.));
    let mut rails = line("rails", &[(0., 0.), (40., 0.), (40., 0.8), (0., 0.8)]);
    if let Shape::Lines(lines) = &mut rails.shape {
        lines.paths[0].closed = true;
    }
    let rung = line("rung", &[(20., 0.1), (20., 0.7)]);
    let done = run(vec![rails, rung], &SnapEnds::default());
    assert_eq!(corners(&done[1]), [at(20., 0.), at(20., 0.8)]);
    // Written as an open line that ends where it begins.
    let mut ring = line("ring", &[(5., 0.1), (5.3, 0.4), (5., 0.7), (4.7, 0.4)]);
    if let Shape::Lines(lines) = &mut ring.shape {
        lines.paths[0].x.push(5.);
        lines.paths[0].y.push(0.1);
    }
    let done = run(
        vec![line("seam", &[(0., 0.), (40., 0.)]), ring],
        &SnapEnds::default(),
    );
    assert!(path(&done[1]).closed);
    near(corners(&done[1])[0], at(5., 0.));
}

/// Its nearer end meets the seam's end, and then its other end is nearest to that place.
#[test]
fn a_short_line_at_the_end_of_another_is_not_pressed_into_a_dot() {
    let done = run(
        vec![
            line("seam", &[(0., 0.), (40., 0.)]),
            line("short", &[(40.1, 0.1), (40.1, 0.4)]),
        ],
        &SnapEnds::default(),
    );
    assert_eq!(corners(&done[1]), [at(40.05, 0.05), at(40.1, 0.4)]);
    assert_eq!(corners(&done[0])[1], at(40.05, 0.05));
}

/// Two ends of different lines meet in one place, and their other two ends in the same.
#[test]
fn short_lines_that_meet_each_other_twice_are_not_pressed_into_dots() {
    let done = run(
        vec![
            line("a", &[(0., 0.), (0.2, 0.)]),
            line("b", &[(-0.2, 0.1), (0., 0.1)]),
        ],
        &SnapEnds::default(),
    );
    for object in &done {
        assert!(
            distance(corners(object)[0], corners(object)[1]) > 0.1,
            "{object:?}"
        );
    }
}
