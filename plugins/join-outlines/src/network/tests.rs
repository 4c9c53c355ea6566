//! Where lines meet, and where they do not.

use super::*;
use proptest::prelude::*;

const REACH: f64 = 0.3;

fn lines(drawn: &[(&[(f64, f64)], bool)]) -> Vec<Line> {
    let drawn = drawn.iter().enumerate();
    drawn
        .filter_map(|(i, (corners, closed))| {
            let corners = corners.iter().map(|&(x, y)| Coord { x, y });
            Line::new(i, 0, &Polyline::new(corners, *closed))
        })
        .collect()
}

fn open(drawn: &[&[(f64, f64)]]) -> Vec<Part> {
    let drawn: Vec<_> = drawn.iter().map(|&corners| (corners, false)).collect();
    parts(&lines(&drawn), REACH)
}

/// The number of edges at each joint, in rising order.
fn degrees(part: &Part) -> Vec<usize> {
    let joints = part.edges.iter().flat_map(|edge| edge.joints);
    let mut degrees = vec![0; joints.clone().max().map_or(0, |last| last + 1)];
    for joint in joints {
        degrees[joint] += 1;
    }
    degrees.sort_unstable();
    degrees
}

fn length(part: &Part) -> f64 {
    part.edges.iter().map(Edge::length).sum()
}

#[test]
fn crossing_lines_are_cut_in_four() {
    let parts = open(&[&[(0., 5.), (10., 5.)], &[(5., 0.), (5., 10.)]]);
    assert_eq!(parts.len(), 1);
    assert_eq!(degrees(&parts[0]), [1, 1, 1, 1, 4]);
    assert!((length(&parts[0]) - 20.0).abs() < 1e-9);
}

#[test]
fn lines_with_a_corner_in_the_crossing_are_cut_once() {
    let parts = open(&[
        &[(0., 5.), (5., 5.), (10., 5.)],
        &[(5., 0.), (5., 5.), (5., 10.)],
        &[(0., 0.), (5., 5.), (10., 10.)],
    ]);
    assert_eq!(degrees(&parts[0]), [1, 1, 1, 1, 1, 1, 6]);
}

#[test]
fn an_end_near_a_line_makes_a_t() {
    for gap in [0.25, 0.0, -0.25] {
        let parts = open(&[&[(0., 0.), (10., 0.)], &[(4., 8.), (4., gap)]]);
        assert_eq!(parts.len(), 1, "gap {gap}");
        assert_eq!(degrees(&parts[0]), [1, 1, 1, 3], "gap {gap}");
        assert!((length(&parts[0]) - 18.0).abs() < 1e-9, "gap {gap}");
    }
    assert_eq!(
        open(&[&[(0., 0.), (10., 0.)], &[(4., 8.), (4., 0.4)]]).len(),
        2
    );
}

#[test]
fn ends_within_reach_meet() {
    let parts = open(&[
        &[(0., 0.), (5., 0.)],
        &[(5.2, 0.), (9., 3.)],
        &[(5.1, 0.15), (5., -6.)],
    ]);
    assert_eq!(parts.len(), 1);
    assert_eq!(degrees(&parts[0]), [1, 1, 1, 3]);
}

#[test]
fn parallel_lines_stay_two_lines() {
    let parts = open(&[&[(0., 0.), (10., 0.)], &[(2., 0.2), (8., 0.2)]]);
    assert_eq!(parts.len(), 2);
    // With their ends side by side they meet there, and stay two lines in between.
    let parts = open(&[&[(0., 0.), (10., 0.)], &[(0., 0.2), (10., 0.2)]]);
    assert_eq!(parts.len(), 1);
    assert_eq!(parts[0].edges.len(), 2);
    assert!(length(&parts[0]) > 19.9);
}

#[test]
fn dashes_do_not_shrink_to_a_dot() {
    let dashes: Vec<[(f64, f64); 2]> = (0..20)
        .map(|i| f64::from(i) * 0.4)
        .map(|x| [(x, 0.), (x + 0.2, 0.)])
        .collect();
    let dashes: Vec<&[(f64, f64)]> = dashes.iter().map(<[_; 2]>::as_slice).collect();
    let parts = open(&dashes);
    assert_eq!(parts.len(), 1);
    assert!(
        (length(&parts[0]) - 7.8).abs() < 1e-6,
        "{}",
        length(&parts[0])
    );
}

#[test]
fn a_short_line_across_another_is_kept() {
    let parts = open(&[&[(0., 0.), (10., 0.)], &[(5., -0.25), (5., 0.25)]]);
    assert_eq!(degrees(&parts[0]), [1, 1, 1, 1, 4]);
}

#[test]
fn rings_meet_at_a_shared_corner_edge_or_tangent() {
    let square: &[(f64, f64)] = &[(0., 0.), (5., 0.), (5., 5.), (0., 5.)];
    let beside: &[(f64, f64)] = &[(5., 0.), (10., 0.), (10., 5.), (5., 5.)];
    let corner: &[(f64, f64)] = &[(5., 5.), (9., 5.), (9., 9.), (5., 9.)];
    let touching = parts(&lines(&[(square, true), (corner, true)]), REACH);
    assert_eq!(touching.len(), 1);
    assert_eq!(degrees(&touching[0]), [4]);
    let shared = parts(&lines(&[(square, true), (beside, true)]), REACH);
    assert_eq!(degrees(&shared[0]), [3, 3]);
    assert_eq!(shared[0].doubles, 1);
    assert!((length(&shared[0]) - 35.0).abs() < 1e-9);
    let circle = |x: f64| -> Vec<(f64, f64)> {
        let places = (0..180).map(|i| f64::from(i) * 2.0_f64.to_radians());
        places.map(|a| (x + 3.0 * a.cos(), 3.0 * a.sin())).collect()
    };
    let (left, right) = (circle(0.), circle(6.0));
    let tangent = parts(&lines(&[(&left, true), (&right, true)]), REACH);
    assert_eq!(tangent.len(), 1);
    let apart = circle(6.1);
    assert_eq!(
        parts(&lines(&[(&left, true), (&apart, true)]), REACH).len(),
        2
    );
}

#[test]
fn a_line_that_comes_back_meets_itself() {
    let parts = open(&[
        &[(0., 0.), (10., 0.), (10., 5.), (5., 5.), (5., 0.1)],
        &[(0., 0.), (-5., 0.)],
    ]);
    assert_eq!(degrees(&parts[0]), [1, 2, 3]);
}

#[test]
fn the_same_line_drawn_twice_is_sewn_once() {
    let line: &[(f64, f64)] = &[(0., 0.), (5., 2.), (10., 0.)];
    let parts = open(&[line, line]);
    assert_eq!(parts[0].doubles, parts[0].edges.len());
    assert!((length(&parts[0]) - 116.0_f64.sqrt()).abs() < 1e-9);
}

proptest! {
    /// Whatever is drawn, every edge runs from joint to joint, lines are lost by no more than
    /// the stubs at their ends, and each part is connected.
    #[test]
    fn nothing_is_lost(
        drawn in prop::collection::vec(
            (prop::collection::vec((0.0..20.0f64, 0.0..20.0f64), 2..6), any::<bool>()), 1..12),
        on_grid in any::<bool>(),
    ) {
        let drawn: Vec<(Vec<(f64, f64)>, bool)> = drawn
            .into_iter()
            .map(|(corners, closed)| {
                let round = |v: f64| if on_grid { (v / 5.0).round() * 5.0 } else { v };
                let corners = corners.into_iter().map(|(x, y)| (round(x), round(y))).collect();
                (corners, closed)
            })
            .collect();
        let drawn: Vec<(&[(f64, f64)], bool)> =
            drawn.iter().map(|(corners, closed)| (corners.as_slice(), *closed)).collect();
        let lines = lines(&drawn);
        let total: f64 = lines.iter().map(Line::length).sum();
        let parts = parts(&lines, REACH);
        let mut places = BTreeMap::new();
        let mut kept = 0.0;
        for (p, part) in parts.iter().enumerate() {
            if let [only] = part.lines[..] {
                kept += lines[only].length();
                continue;
            }
            kept += length(part);
            for edge in &part.edges {
                let ends = [edge.course[0], edge.course[edge.course.len() - 1]];
                for (joint, end) in edge.joints.iter().zip(ends) {
                    prop_assert_eq!(*places.entry((p, *joint)).or_insert(end), end);
                }
            }
            let graph = part.to_graph();
            let found = inspection::inspect(&graph, inspection::Walk::Open, |_, _| 0.0);
            prop_assert!(found.is_some());
        }
        let doubles: usize = parts.iter().map(|part| part.doubles).sum();
        let stubs = 2.0 * REACH * 2.0 * lines.len() as f64;
        prop_assert!(kept <= total + stubs);
        prop_assert!(doubles > 0 || kept >= total - stubs, "{} of {}", kept, total);
    }
}
