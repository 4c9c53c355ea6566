//! Which angles there are to choose from, and what each costs.

use super::graph::{Graph, Node};
use super::{SAME, between, is_enough};
use crate::BorderAngles;

/// Turned from so many of the angles that fills have already; further ones are kept clear of as far as these allow.
const MOST_FIXED: usize = 6;

/// What an assignment of angles costs: first, what does not show, by how far it falls short; then, how much is
/// turned. Less is better.
pub(crate) type Cost = (u128, u64);

/// The angles that all nodes of a graph can have.
pub(crate) struct Choices {
    /// In degrees, the base angle first.
    pub angles: Vec<f64>,
    /// The first of them can all be had at once; the rest are turned from what has an angle already.
    pub own: usize,
    /// How far each two of them fall short of the least turn, in hundredths of a degree.
    short: Vec<Vec<u64>>,
    least_turn: f64,
}

impl Choices {
    pub fn of(graph: &Graph, settings: &BorderAngles) -> Self {
        let least_turn = settings.least_turn;
        let mut angles = Vec::new();
        add_turned(&mut angles, settings.angle, least_turn);
        let own = angles.len();
        let mut fixed: Vec<f64> = Vec::new();
        for &(angle, _) in graph.nodes.iter().flat_map(|node| &node.fixed) {
            if fixed.len() < MOST_FIXED && is_new(&fixed, angle) {
                fixed.push(angle);
                add_turned(&mut angles, angle, least_turn);
            }
        }
        let row = |&one: &f64| {
            let others = angles.iter();
            others.map(|&other| short(one, other, least_turn)).collect()
        };
        let short = angles.iter().map(row).collect();
        Self {
            angles,
            own,
            short,
            least_turn,
        }
    }

    /// What the choice costs at a node, as far as its neighbours' are known.
    pub fn cost(&self, node: &Node, choice: usize, known: impl Fn(usize) -> Option<usize>) -> Cost {
        let touches = node.touches.iter();
        let of_touching =
            touches.filter_map(|&(other, length)| Some(self.of_two(choice, known(other)?, length)));
        (
            of_touching.sum::<u128>() + self.of_fixed(node, choice),
            self.turned(node, choice),
        )
    }

    /// How far two that touch along `length` fall short with these choices.
    pub fn of_two(&self, one: usize, other: usize, length: u64) -> u128 {
        u128::from(length) * u128::from(self.short[one][other])
    }

    /// How far the choice falls short beside those that have an angle already.
    pub fn of_fixed(&self, node: &Node, choice: usize) -> u128 {
        let fixed = node.fixed.iter();
        let costs = fixed.map(|&(angle, length)| {
            let short = short(self.angles[choice], angle, self.least_turn);
            u128::from(length) * u128::from(short)
        });
        costs.sum()
    }

    fn turned(&self, node: &Node, choice: usize) -> u64 {
        if choice == 0 { 0 } else { node.size }
    }

    /// What all costs.
    pub fn total(&self, graph: &Graph, chosen: &[usize]) -> Cost {
        let mut total = (0, 0);
        for (number, (node, &choice)) in graph.nodes.iter().zip(chosen).enumerate() {
            // Each border once.
            let before = |other: usize| (other < number).then(|| chosen[other]);
            let (short, turned) = self.cost(node, choice, before);
            total = (total.0 + short, total.1 + turned);
        }
        total
    }
}

/// How far the two fall short of the least turn, in hundredths of a degree.
fn short(one: f64, other: f64, least_turn: f64) -> u64 {
    let apart = between(one, other);
    if is_enough(apart, least_turn) {
        return 0;
    }
    ((least_turn - apart) * 100.0).ceil().max(1.0) as u64
}

/// Adds `angle` and as many more, each the least turn from all others, as there is room for; those least turned
/// come first.
fn add_turned(angles: &mut Vec<f64>, angle: f64, least_turn: f64) {
    let room = ((180.0 + SAME) / least_turn).floor().max(1.0) as i32;
    let mut add = |angle: f64| {
        if is_new(angles, angle) {
            angles.push(angle);
        }
    };
    add(angle);
    for turn in 1..room {
        let by = f64::from((turn + 1) / 2) * least_turn;
        let turned = if turn % 2 == 1 {
            angle + by
        } else {
            angle - by
        };
        add(turned.rem_euclid(180.0));
    }
}

fn is_new(angles: &[f64], angle: f64) -> bool {
    angles.iter().all(|&other| between(other, angle) > SAME)
}
