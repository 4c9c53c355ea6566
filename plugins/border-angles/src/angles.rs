//! Which angle each fill gets: touching ones differ, and as little as possible is turned.
//!
//! All that hangs together is decided at once. A few fills are tried in every way; of many, the one with the
//! fewest angles left comes next (D. Brélaz, "New methods to color the vertices of a graph", Communications of
//! the ACM 22 (1979) 251-256), which finds two angles wherever two do. All costs are whole numbers, so that
//! nothing hangs on where the design lies.

mod choices;
mod few;
mod graph;
mod many;

use crate::BorderAngles;
use crate::borders::Border;
use crate::fills::Fill;
use choices::Choices;
use graph::Graph;

/// Angles no farther apart than this are the same, in degrees.
pub(crate) const SAME: f64 = 1e-6;

/// So many ways are tried at the most.
const MOST_WAYS: usize = 10_000;

/// How far apart two directions of rows are, in degrees, from 0 to 90.
pub(crate) fn between(one: f64, other: f64) -> f64 {
    let turn = (one - other).rem_euclid(180.0);
    turn.min(180.0 - turn)
}

/// Whether rows `apart` degrees apart are turned enough.
pub(crate) fn is_enough(apart: f64, least_turn: f64) -> bool {
    apart >= least_turn - SAME
}

/// The angle of each fill that has none yet and shares a border, or whose kin does, by its place in the design.
pub(crate) fn chosen(
    fills: &[Option<Fill>],
    borders: &[Border],
    settings: &BorderAngles,
) -> Vec<Option<f64>> {
    let mut angles = vec![None; fills.len()];
    for graph in Graph::all(fills, borders) {
        let choices = Choices::of(&graph, settings);
        let chosen = if few::ways(&graph, &choices).is_some_and(|ways| ways <= MOST_WAYS) {
            few::best(&graph, &choices)
        } else {
            many::good(&graph, &choices)
        };
        for (node, choice) in graph.nodes.iter().zip(chosen) {
            for &place in &node.places {
                angles[place] = Some(choices.angles[choice]);
            }
        }
    }
    angles
}

#[cfg(test)]
mod tests;
