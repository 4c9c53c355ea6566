//! Many fills: one after another, then made better one by one.

use super::choices::Choices;
use super::graph::{Graph, Node};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// All are looked at again so many times at the most.
const MOST_ROUNDS: usize = 20;

/// A good way: where two angles do for all, and none has one already, nothing falls short.
pub(crate) fn good(graph: &Graph, choices: &Choices) -> Vec<usize> {
    let mut chosen = one_by_one(graph, choices);
    if graph.nodes.iter().all(|node| node.fixed.is_empty()) {
        turn_the_least(graph, choices, &mut chosen);
    }
    improve(graph, choices, &mut chosen);
    chosen
}

/// Which fill comes next: the one with the fewest angles left that cost nothing, then the one that touches the
/// most, then the first.
type Turn = (usize, u64, Reverse<usize>);

fn one_by_one(graph: &Graph, choices: &Choices) -> Vec<usize> {
    let nodes = &graph.nodes;
    let all = 0..choices.angles.len();
    // By how much each choice of each fill falls short so far.
    let of_fixed = |node: &Node| {
        let short = all.clone();
        short.map(|choice| choices.of_fixed(node, choice)).collect()
    };
    let mut short: Vec<Vec<u128>> = nodes.iter().map(of_fixed).collect();
    let touches = nodes.iter().map(|node| node.touches.iter());
    let lengths: Vec<u64> = touches
        .map(|all| all.map(|&(_, length)| length).sum())
        .collect();
    let turn = |number: usize, short: &[u128]| -> Turn {
        let spent = short.iter().filter(|&&short| short > 0).count();
        (spent, lengths[number], Reverse(number))
    };
    let turns = short.iter().enumerate();
    let turns = turns.map(|(number, short)| turn(number, short));
    let mut waiting: BTreeSet<Turn> = turns.collect();
    let mut chosen: Vec<Option<usize>> = vec![None; nodes.len()];
    while let Some((_, _, Reverse(number))) = waiting.pop_last() {
        // By what falls short alone, the least turned first: how much is turned is looked at afterwards.
        let best = all
            .clone()
            .min_by_key(|&choice| (short[number][choice], choice));
        let best = best.unwrap_or_default();
        chosen[number] = Some(best);
        for &(other, length) in &nodes[number].touches {
            if chosen[other].is_some() {
                continue;
            }
            waiting.remove(&turn(other, &short[other]));
            for choice in all.clone() {
                short[other][choice] += choices.of_two(best, choice, length);
            }
            waiting.insert(turn(other, &short[other]));
        }
    }
    chosen.into_iter().map(Option::unwrap_or_default).collect()
}

/// Gives the base angle to those of one angle that are the largest together, and so on.
fn turn_the_least(graph: &Graph, choices: &Choices, chosen: &mut [usize]) {
    let mut sizes = vec![0; choices.own];
    for (node, &choice) in graph.nodes.iter().zip(&*chosen) {
        sizes[choice] += node.size;
    }
    let mut largest: Vec<usize> = (0..sizes.len()).collect();
    largest.sort_by_key(|&choice| Reverse(sizes[choice]));
    let mut becomes = vec![0; sizes.len()];
    for (rank, choice) in largest.into_iter().enumerate() {
        becomes[choice] = rank;
    }
    for choice in chosen {
        *choice = becomes[*choice];
    }
}

/// Gives each another angle that costs less, as long as there is one.
fn improve(graph: &Graph, choices: &Choices, chosen: &mut [usize]) {
    for _ in 0..MOST_ROUNDS {
        let mut changed = false;
        for (number, node) in graph.nodes.iter().enumerate() {
            let cost = |choice: usize| choices.cost(node, choice, |other| Some(chosen[other]));
            let all = 0..choices.angles.len();
            let best = all.min_by_key(|&choice| (cost(choice), choice));
            if let Some(best) = best.filter(|&best| cost(best) < cost(chosen[number])) {
                chosen[number] = best;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
}
