//! Published optima of the route inspection problem, and brute force.

use super::*;
use proptest::prelude::*;

fn unit(pairs: impl IntoIterator<Item = (usize, usize)>) -> Graph {
    let edge = |(a, b)| Edge::needed([a, b], 1);
    Graph::new(pairs.into_iter().map(edge).collect())
}

fn straight(graph: &Graph, walk: Walk) -> Inspection {
    let found = inspect(graph, walk, |_, _| 0.0).expect("the graph is connected");
    check(graph, walk, &found);
    found
}

fn from(graph: &Graph, passage: Passage) -> usize {
    graph.to(Passage {
        forward: !passage.forward,
        ..passage
    })
}

/// The walk is one trail, along every edge, as long as it says.
fn check(graph: &Graph, walk: Walk, found: &Inspection) {
    for pair in found.trail.windows(2) {
        assert_eq!(graph.to(pair[0]), from(graph, pair[1]));
    }
    let mut passes = vec![0_u64; graph.edges.len()];
    for passage in &found.trail {
        passes[passage.edge] += 1;
    }
    assert!(passes.iter().all(|&times| (1..=2).contains(&times)));
    let walked: u64 = passes
        .iter()
        .zip(&graph.edges)
        .map(|(times, e)| times * e.length)
        .sum();
    assert_eq!(walked, graph.length() + found.retraced);
    if walk != Walk::Open {
        let (first, last) = (found.trail[0], found.trail[found.trail.len() - 1]);
        assert_eq!(from(graph, first), graph.to(last));
    }
}

fn optimum(graph: &Graph, walk: Walk) -> u64 {
    let found = straight(graph, walk);
    assert!(found.exact());
    graph.length() + found.retraced
}

/// Edges between those of `corners` that are `apart`: how the regular solids are wired.
fn solid(corners: &[[f64; 3]], apart: f64) -> Graph {
    let mut pairs = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        for (j, b) in corners.iter().enumerate().skip(i + 1) {
            let square: f64 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
            if (square.sqrt() - apart).abs() < 1e-9 {
                pairs.push((i, j));
            }
        }
    }
    unit(pairs)
}

/// All signs of the numbers, in all three rotations of the axes.
fn signs(numbers: [f64; 3]) -> Vec<[f64; 3]> {
    let mut corners: Vec<[f64; 3]> = Vec::new();
    for turn in 0..3 {
        for sign in 0..8 {
            let signed = |axis: usize| {
                let value = numbers[(axis + turn) % 3];
                // Adding zero makes 0 of -0, so that equal corners are found equal.
                (if sign >> axis & 1 == 1 { -value } else { value }) + 0.0
            };
            let corner = [signed(0), signed(1), signed(2)];
            if !corners.contains(&corner) {
                corners.push(corner);
            }
        }
    }
    corners
}

fn grid(side: usize) -> Graph {
    let mut pairs = Vec::new();
    for row in 0..side {
        for column in 0..side {
            let node = row * side + column;
            if column + 1 < side {
                pairs.push((node, node + 1));
            }
            if row + 1 < side {
                pairs.push((node, node + side));
            }
        }
    }
    unit(pairs)
}

/// Edges, closed and open optimum of well-known graphs with edges of length one. They follow
/// from Edmonds and Johnson (1973); checked by the project against networkx's matching.
#[test]
fn well_known_graphs_have_their_optimum() {
    let golden = (1.0 + 5.0_f64.sqrt()) / 2.0;
    let mut dodecahedron = signs([1.0, 1.0, 1.0]);
    dodecahedron.extend(signs([0.0, 1.0 / golden, golden]));
    let complete = |n: usize| unit((0..n).flat_map(move |b| (0..b).map(move |a| (a, b))));
    let petersen = (0..5).flat_map(|i| [(i, (i + 1) % 5), (i, i + 5), (i + 5, (i + 2) % 5 + 5)]);
    let known = [
        ("K4", complete(4), 6, 8, 7),
        ("K3,3", unit((0..9).map(|i| (i / 3, 3 + i % 3))), 9, 12, 11),
        ("cube", solid(&signs([1.0, 1.0, 1.0]), 2.0), 12, 16, 15),
        ("Petersen", unit(petersen), 15, 20, 19),
        (
            "dodecahedron",
            solid(&dodecahedron, 2.0 / golden),
            30,
            40,
            39,
        ),
        (
            "icosahedron",
            solid(&signs([0.0, 1.0, golden]), 2.0),
            30,
            36,
            35,
        ),
        ("3x3 grid", grid(3), 12, 16, 14),
        ("4x4 grid", grid(4), 24, 28, 27),
        ("5x5 grid", grid(5), 40, 48, 46),
        ("star", unit((1..=5).map(|arm| (0, arm))), 5, 10, 8),
    ];
    for (name, graph, edges, closed, open) in known {
        assert_eq!(graph.edges().len(), edges, "{name}");
        assert_eq!(optimum(&graph, Walk::Closed), closed, "{name}, closed");
        assert_eq!(optimum(&graph, Walk::Open), open, "{name}, open");
        assert_eq!(
            optimum(&graph, Walk::Twice),
            2 * edges as u64,
            "{name}, twice"
        );
    }
}

/// L. Euler, "Solutio problematis ad geometriam situs pertinentis" (1736): seven bridges, four
/// odd banks. Two must be crossed again to come home.
#[test]
fn the_bridges_of_koenigsberg() {
    let bridges = unit([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)]);
    assert_eq!(optimum(&bridges, Walk::Closed), 9);
    assert_eq!(optimum(&bridges, Walk::Open), 8);
    assert_eq!(
        straight(&bridges, Walk::Closed).trails_without_retracing(),
        2
    );
}

/// A worked example of a school course in decision mathematics, as the project's reference
/// values state it: edges of 312 in all, odd nodes A, B, D, E, and shortest ways between them.
#[test]
fn a_course_example_costs_367() {
    #[rustfmt::skip]
    let lengths = [
        0, 20, 30, 25,
        20, 0, 72, 45,
        30, 72, 0, 35,
        25, 45, 35, 0,
    ];
    let mates = pair_exactly(&lengths, 4, false);
    assert_eq!(mates, [Some(1), Some(0), Some(3), Some(2)]);
    assert_eq!(312 + lengths[1] + lengths[2 * 4 + 3], 367);
}

/// A grid of n x n nodes has 4 (n - 2) odd nodes, on its sides.
#[test]
fn grids_need_eulers_number_of_trails() {
    for side in 3..9 {
        let found = straight(&grid(side), Walk::Open);
        assert_eq!(found.odd_nodes, 4 * (side - 2));
        assert_eq!(found.trails_without_retracing(), 2 * (side - 2));
    }
    let ring = unit([(0, 1), (1, 2), (2, 0)]);
    assert_eq!(straight(&ring, Walk::Open).trails_without_retracing(), 1);
}

/// Euler's number of trails is reached: the walk, cut where it passes an edge again, falls into
/// just as many that pass each edge once. (In these graphs all that is passed again is single
/// edges; elsewhere a way of several may lie in several places of the walk.)
#[test]
fn cut_where_they_retrace_walks_fall_into_eulers_number_of_trails() {
    let bridges = unit([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)]);
    for graph in [bridges, grid(4), grid(6), grid(8)] {
        let found = straight(&graph, Walk::Open);
        let mut passed = vec![false; graph.edges.len()];
        let first: Vec<bool> = found
            .trail
            .iter()
            .map(|passage| !std::mem::replace(&mut passed[passage.edge], true))
            .collect();
        let trails = first.split(|first| !first).filter(|run| !run.is_empty());
        assert_eq!(trails.count(), found.trails_without_retracing());
    }
}

#[test]
fn loops_and_parallel_edges_are_walked() {
    let graph = unit([(0, 0), (0, 1), (0, 1), (1, 1), (1, 2)]);
    assert_eq!(optimum(&graph, Walk::Open), 5);
    assert_eq!(optimum(&graph, Walk::Closed), 6);
}

#[test]
fn no_edge_or_two_parts_have_no_trail() {
    for graph in [unit([]), unit([(0, 1), (2, 3)])] {
        assert_eq!(inspect(&graph, Walk::Open, |_, _| 0.0), None);
    }
}

/// A comb has an odd node at each tooth and each foot: far more than are paired exactly.
#[test]
fn many_odd_nodes_are_paired_nearly_as_well() {
    let teeth = 1500;
    let spine = (0..teeth).map(|i| (i, i + 1));
    let comb = unit(spine.chain((1..teeth).map(|i| (i, teeth + i))));
    let found = straight(&comb, Walk::Closed);
    assert!(found.odd_nodes > greatest_exact());
    // Every tooth twice, and every second step of the spine is the least possible: a tree's
    // closed walk passes each edge exactly twice.
    assert_eq!(found.retraced, comb.length());
    let side = 160;
    let found = straight(&grid(side), Walk::Closed);
    assert!(found.odd_nodes > greatest_exact());
    // 4 (n - 2) odd nodes in rows of n - 2 on each side, n even: neighbours pair at length 1.
    assert_eq!(found.retraced, 2 * (side as u64 - 2));
}

/// The least sum of pairs, by trying all.
fn brute_force(lengths: &[u64], count: usize, left: &mut Vec<usize>, skips: usize) -> u64 {
    let Some(first) = left.pop() else {
        return if skips == 0 { 0 } else { u64::MAX };
    };
    let mut best = u64::MAX;
    if skips > 0 {
        best = brute_force(lengths, count, left, skips - 1);
    }
    for i in 0..left.len() {
        let other = left.remove(i);
        let rest = brute_force(lengths, count, left, skips);
        best = best.min(rest.saturating_add(lengths[first * count + other]));
        left.insert(i, other);
    }
    left.push(first);
    best
}

proptest! {
    #[test]
    fn pairs_are_as_short_as_brute_force_finds(
        half in 1usize..5,
        numbers in prop::collection::vec(0u64..1000, 64),
        open in any::<bool>(),
    ) {
        let count = 2 * half;
        let mut lengths = vec![0; count * count];
        for i in 0..count {
            for j in 0..i {
                lengths[i * count + j] = numbers[i * 8 + j];
                lengths[j * count + i] = numbers[i * 8 + j];
            }
        }
        let mates = pair_exactly(&lengths, count, open);
        let mut sum = 0;
        for (i, mate) in mates.iter().enumerate() {
            if let Some(mate) = mate {
                prop_assert_eq!(mates[*mate], Some(i));
                sum += lengths[i * count + mate];
            }
        }
        prop_assert_eq!(mates.iter().filter(|mate| mate.is_none()).count(), 2 * usize::from(open));
        let skips = 2 * usize::from(open);
        prop_assert_eq!(sum / 2, brute_force(&lengths, count, &mut (0..count).collect(), skips));
    }

    /// The bound for many odd nodes is under the best pairing, and what is found is not.
    #[test]
    fn the_best_pairing_lies_between_bound_and_what_is_found(
        side in 3usize..12,
        lengths in prop::collection::vec(1u64..60, 300),
        left_out in prop::collection::vec(0usize..8, 300),
        open in any::<bool>(),
    ) {
        let whole = grid(side);
        let edges = whole.edges().iter().zip(lengths).zip(left_out);
        let edges = edges.enumerate().filter(|(i, (_, out))| *out > 0 || i % 2 == 0);
        let edges = edges.map(|(_, ((edge, length), _))| Edge::needed(edge.nodes, length));
        let graph = Graph::new(edges.collect());
        if Search::new(&graph).reaches_all_edges() {
            let odd = graph.odd_nodes();
            let sum = |pairs: &[Pair]| pairs.iter().map(|pair| pair.length).sum::<u64>();
            let best = sum(&matching::pair_nodes(&graph, &odd, open));
            let (pairs, bound) = polish::pair_many_nodes(&graph, &odd, open);
            prop_assert!(bound <= best, "{} is no bound of {}", bound, best);
            prop_assert!(sum(&pairs) >= best);
        }
    }

    /// On graphs small enough, no set of doubled edges that makes a walk possible is shorter.
    #[test]
    fn walks_are_as_short_as_brute_force_finds(
        pairs in prop::collection::vec((0usize..6, 0usize..6, 1u64..20), 1..10),
        open in any::<bool>(),
    ) {
        let edges: Vec<Edge> = pairs
            .iter()
            .map(|&(a, b, length)| Edge::needed([a, b], length))
            .collect();
        let graph = Graph::new(edges);
        let walk = if open { Walk::Open } else { Walk::Closed };
        if let Some(found) = inspect(&graph, walk, |_, _| 0.0) {
            check(&graph, walk, &found);
            let allowed = if open { 2 } else { 0 };
            let least = (0..1_u32 << pairs.len())
                .filter(|set| {
                    let mut degrees = [0; 6];
                    for (i, &(a, b, _)) in pairs.iter().enumerate() {
                        let times = 1 + (set >> i & 1);
                        degrees[a] += times;
                        degrees[b] += times;
                    }
                    degrees.iter().filter(|&degree| degree % 2 == 1).count() <= allowed
                })
                .map(|set| {
                    let doubled = pairs.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1);
                    doubled.map(|(_, &(_, _, length))| length).sum::<u64>()
                })
                .min();
            prop_assert_eq!(Some(found.retraced), least);
        }
    }
}
