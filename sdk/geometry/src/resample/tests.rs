use super::*;
use geo::line_string;
use proptest::prelude::*;

#[test]
fn a_straight_line_is_divided_evenly() {
    let points = along(
        &line_string![(x: 0., y: 0.), (x: 10., y: 0.)],
        Spacing::new(3.0),
    );
    let xs: Vec<f64> = points.iter().map(|p| p.x).collect();
    assert_eq!(xs, [0.0, 2.5, 5.0, 7.5, 10.0]);
}

#[test]
fn a_corner_gets_a_needle_point() {
    let corner = Coord { x: 4., y: 0. };
    let line = LineString::from(vec![(0., 0.), (4., 0.), (4., 0.), (4., 5.)]);
    assert!(along(&line, Spacing::new(3.0)).contains(&corner));
}

#[test]
fn a_small_circle_is_sewn_with_shorter_stitches() {
    let circle = arc(2.0, 0, 72);
    let points = along(&circle, Spacing::new(3.0));
    assert!(points.len() > 8, "{}", points.len());
    assert_eq!(points[0], circle.0[0]);
    assert_eq!(points[points.len() - 1], circle.0[72]);
    let chords = chords(&points);
    let (least, most) = (least(&chords), chords.iter().copied().fold(0.0, f64::max));
    assert!(
        most - least < 0.2 * most,
        "an even curve has even steps: {least} to {most}"
    );
}

/// One small bend in a long line must not shorten the stitches far away from it.
#[test]
fn only_the_bend_gets_shorter_stitches() {
    let mut corners = vec![Coord { x: -50., y: -0.5 }];
    corners.extend(arc(0.5, -18, 0).0);
    corners.push(Coord { x: 0.5, y: 50. });
    let points = along(&LineString::new(corners), Spacing::new(2.5));
    assert!(points.len() < 52, "{} points for 100 mm", points.len());
    let chords = chords(&points);
    assert!(chords[2] > 2.3 && chords[chords.len() - 3] > 2.3);
    assert!(least(&chords) < 1.0);
}

#[test]
fn a_hairpin_too_small_for_a_stitch_is_passed_over() {
    let line = line_string![
        (x: 0., y: 0.), (x: 5., y: 0.), (x: 5., y: 0.2), (x: 5.01, y: 0.), (x: 10., y: 0.)
    ];
    let points = along(&line, Spacing::new(2.5));
    assert!(least(&chords(&points)) >= 0.5 - 1e-9, "{points:?}");
}

#[test]
fn a_spike_is_sewn_to_its_tip_and_back() {
    let tip = Coord { x: 5., y: 4. };
    let line = LineString::from(vec![(0., 0.), (5., 0.), (5., 4.), (5., 0.), (10., 0.)]);
    let points = along(&line, Spacing::new(2.5));
    assert!(points.contains(&tip));
    assert_eq!(
        points
            .iter()
            .filter(|p| **p == Coord { x: 5., y: 0. })
            .count(),
        2
    );
}

#[test]
fn a_small_ring_is_no_stitch_in_place() {
    let points = along(&arc(0.25, 0, 72), Spacing::new(2.5));
    assert!(points.len() >= 3);
    assert!(least(&chords(&points)) >= 0.3, "{points:?}");
}

#[test]
fn what_cannot_be_sewn_gives_no_panic() {
    let nowhere = Coord { x: 1., y: 1. };
    let bad = Spacing {
        longest: f64::NAN,
        shortest: -1.,
        corner: 1e9,
        tolerance: 0.,
    };
    assert!(along(&line_string![], bad).is_empty());
    assert_eq!(
        along(&line_string![nowhere, nowhere, nowhere], bad),
        [nowhere]
    );
    let gap = LineString::from(vec![(1., 1.), (f64::NAN, 0.), (1., 2.)]);
    assert_eq!(along(&gap, bad).len(), 2);
}

proptest! {
    #[test]
    fn no_step_is_too_long_and_the_ends_stay(
        corners in prop::collection::vec((-50.0..50.0f64, -50.0..50.0f64), 2..40),
        longest in 0.5..12.0f64,
    ) {
        let line: LineString<f64> = corners.into_iter().collect();
        let points = along(&line, Spacing::new(longest));
        prop_assert_eq!(points[0], line.0[0]);
        prop_assert_eq!(points[points.len() - 1], line.0[line.0.len() - 1]);
        for chord in chords(&points) {
            prop_assert!(chord <= longest + 1e-6);
        }
    }

    /// Lines tangled in boxes of all sizes, and not only long ones.
    #[test]
    fn no_step_is_too_short(
        corners in prop::collection::vec((-1.0..1.0f64, -1.0..1.0f64), 2..40),
        size in 0.2..20.0f64,
        longest in 1.0..6.0f64,
    ) {
        let line: LineString<f64> =
            corners.into_iter().map(|(x, y)| (x * size, y * size)).collect();
        let spacing = Spacing::new(longest);
        let points = along(&line, spacing);
        let (first, last) = (line.0[0], line.0[line.0.len() - 1]);
        let leaves_both = line.0.iter().any(|&c| {
            distance(c, first) > 1.5 * spacing.shortest && distance(c, last) > 1.5 * spacing.shortest
        });
        for chord in chords(&points) {
            prop_assert!(chord <= longest + 1e-6);
            prop_assert!(!leaves_both || chord >= spacing.shortest * 0.999999, "{} in {:?}", chord, points);
        }
    }

    /// Walks of many small steps, as flattened curves and traced drawings have.
    #[test]
    fn a_wriggling_line_is_sewn_within_its_tolerance_or_in_shortest_steps(
        turns in prop::collection::vec(-0.6..0.6f64, 20..400),
        longest in 1.5..6.0f64,
    ) {
        let (mut at, mut heading) = (Coord { x: 0., y: 0. }, 0.0_f64);
        let mut corners = vec![at];
        for turn in turns {
            heading += turn;
            at = at + Coord { x: heading.cos(), y: heading.sin() } * 0.2;
            corners.push(at);
        }
        let line = LineString::new(corners);
        let spacing = Spacing::new(longest);
        for chord in chords(&along(&line, spacing)) {
            prop_assert!(chord <= longest + 1e-6);
            prop_assert!(chord >= spacing.shortest * 0.999999);
        }
    }
}

fn arc(radius: f64, from: i32, to: i32) -> LineString<f64> {
    (from..=to)
        .map(|i| f64::from(if i == 72 { 0 } else { i }) * 5.0_f64.to_radians())
        .map(|a| Coord {
            x: radius * a.cos(),
            y: radius * a.sin(),
        })
        .collect()
}

fn chords(points: &[Coord<f64>]) -> Vec<f64> {
    points
        .windows(2)
        .map(|pair| distance(pair[0], pair[1]))
        .collect()
}

fn least(chords: &[f64]) -> f64 {
    chords.iter().copied().fold(f64::INFINITY, f64::min)
}
