//! A few fills: every way is tried.

use super::choices::Choices;
use super::graph::Graph;

/// In how many ways all can be given angles; nothing where that is past counting.
pub(crate) fn ways(graph: &Graph, choices: &Choices) -> Option<usize> {
    let count = u32::try_from(graph.nodes.len()).ok()?;
    choices.angles.len().checked_pow(count)
}

/// The best way; of equal ones, that in which earlier fills are turned less.
pub(crate) fn best(graph: &Graph, choices: &Choices) -> Vec<usize> {
    let mut chosen = vec![0; graph.nodes.len()];
    let mut best = chosen.clone();
    let mut least = choices.total(graph, &chosen);
    // As a number with a digit a fill is counted up, from all zeros on; the last digit runs fastest.
    while let Some(digit) = chosen
        .iter()
        .rposition(|&choice| choice + 1 < choices.angles.len())
    {
        chosen[digit] += 1;
        chosen[digit + 1..].fill(0);
        let cost = choices.total(graph, &chosen);
        if cost < least {
            least = cost;
            best.copy_from_slice(&chosen);
        }
    }
    best
}
