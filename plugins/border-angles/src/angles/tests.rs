//! Angles that can be told by hand, and a few fills chosen both ways.

use super::choices::Choices;
use super::graph::{Graph, Node};
use super::{between, few, is_enough, many};
use crate::BorderAngles;

fn graph(sizes: &[u64], borders: &[(usize, usize, u64)]) -> Graph {
    let nodes = sizes.iter().enumerate().map(|(place, &size)| {
        let touches = borders.iter().filter_map(|&(a, b, length)| {
            let other = if a == place {
                b
            } else if b == place {
                a
            } else {
                return None;
            };
            Some((other, length))
        });
        Node {
            places: vec![place],
            size,
            touches: touches.collect(),
            fixed: Vec::new(),
        }
    });
    let nodes = nodes.collect();
    Graph { nodes }
}

fn choices(graph: &Graph, angle: f64, least_turn: f64) -> Choices {
    let settings = BorderAngles {
        angle,
        least_turn,
        ..BorderAngles::default()
    };
    Choices::of(graph, &settings)
}

#[test]
fn directions_of_rows_are_at_most_a_right_angle_apart() {
    let cases = [
        (30.0, 210.0, 0.0),
        (-80.0, 80.0, 20.0),
        (0.0, 90.0, 90.0),
        (350.0, 20.0, 30.0),
        (45.0, 165.0, 60.0),
    ];
    for (one, other, apart) in cases {
        assert!((between(one, other) - apart).abs() < 1e-9, "{one} {other}");
    }
}

#[test]
fn there_are_as_many_angles_as_the_least_turn_has_room_for() {
    let lone = graph(&[1], &[]);
    let angles = |angle, least_turn| choices(&lone, angle, least_turn).angles;
    assert_eq!(angles(30.0, 90.0), [30.0, 120.0]);
    assert_eq!(angles(30.0, 60.0), [30.0, 90.0, 150.0]);
    assert_eq!(angles(-10.0, 45.0), [-10.0, 35.0, 125.0, 80.0]);
    for least_turn in (30..=90).map(f64::from) {
        let all = angles(45.0, least_turn);
        for (at, &one) in all.iter().enumerate() {
            let mut earlier = all[..at].iter();
            assert!(earlier.all(|&other| is_enough(between(one, other), least_turn)));
        }
    }
}

/// Four that touch each other, at three angles: the shortest border is left.
#[test]
fn the_shortest_border_is_left() {
    let borders = [
        (0, 1, 900),
        (0, 2, 800),
        (0, 3, 700),
        (1, 2, 600),
        (1, 3, 900),
        (2, 3, 700),
    ];
    let graph = graph(&[9, 8, 7, 6], &borders);
    let choices = choices(&graph, 45.0, 60.0);
    let best = few::best(&graph, &choices);
    assert_eq!(choices.total(&graph, &best).0, 600 * 6000);
    assert_eq!(best[1], best[2]);
    assert_eq!(
        choices.total(&graph, &many::good(&graph, &choices)).0,
        600 * 6000
    );
}

/// Every graph of five fills.
#[test]
fn one_by_one_two_angles_are_found_wherever_two_do() {
    let pairs: Vec<(usize, usize)> = (0..5)
        .flat_map(|a| (a + 1..5).map(move |b| (a, b)))
        .collect();
    for drawn in 0..1_usize << pairs.len() {
        let kept = pairs
            .iter()
            .enumerate()
            .filter(|(bit, _)| drawn >> bit & 1 == 1);
        let borders: Vec<(usize, usize, u64)> = kept
            .map(|(bit, &(a, b))| (a, b, 600 + 37 * bit as u64))
            .collect();
        let graph = graph(&[50, 40, 70, 20, 30], &borders);
        let at_right_angles = choices(&graph, 0.0, 90.0);
        let best = few::best(&graph, &at_right_angles);
        let good = many::good(&graph, &at_right_angles);
        let (best, good) = (
            at_right_angles.total(&graph, &best),
            at_right_angles.total(&graph, &good),
        );
        assert!(best <= good);
        assert_eq!(best.0 == 0, good.0 == 0, "{borders:?}");
    }
}
