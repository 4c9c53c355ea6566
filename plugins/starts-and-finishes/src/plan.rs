//! The choice of starts and finishes for a whole block of one thread at once: a dynamic programme
//! over the candidates (A. J. Viterbi, "Error bounds for convolutional codes", IEEE Transactions on
//! Information Theory 13 (1967) 260-269), so that no other choice among them costs less.

use crate::StartsAndFinishes;
use crate::account::Account;
use crate::beneath::Beneath;
use crate::candidates::{self, Candidates};
use crate::ground::{Ground, Hanging};
use crate::outline::{Ends, Outline};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// A trim takes about 7 s (textbook 20387AG, p. 168).
const TRIM: f64 = 7.0;

/// Seconds for a mm of hidden travel: stitches of 2.5 mm at 800 a minute.
const HIDDEN: f64 = 60.0 / 800.0 / 2.5;

/// What a mm of open travel counts in seconds: 5 mm of it, which is common to leave, nearly as much
/// as a trim.
const OPEN: f64 = 1.0;

/// What no stitch-maker could do stays a last resort, in seconds.
const IMPASSABLE: f64 = 1e6;

/// Where an object begins and ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Choice {
    pub object: usize,
    pub start: Option<Coord<f64>>,
    pub finish: Option<Coord<f64>>,
}

/// Objects of one thread that follow each other, as places in the design. What shows nothing is left
/// out.
pub(crate) fn blocks(objects: &[Object], outlines: &[Outline]) -> Vec<Vec<usize>> {
    let mut blocks: Vec<Vec<usize>> = Vec::new();
    for (place, object) in objects.iter().enumerate() {
        if outlines[place].ends == Ends::None {
            continue;
        }
        match blocks.last_mut() {
            Some(block) if objects[block[0]].thread == object.thread => block.push(place),
            _ => blocks.push(vec![place]),
        }
    }
    blocks
}

/// The best starts and finishes of all `blocks`.
pub(crate) fn choose(
    blocks: &[Vec<usize>],
    outlines: &[Outline],
    ground: &Ground,
    beneath: &Beneath,
    settings: &StartsAndFinishes,
) -> (Vec<Choice>, Account) {
    let mut chosen = Vec::new();
    let mut account = Account::default();
    let mut hanging = Hanging::nothing(ground);
    // Backwards, for what hangs together grows with what is still to be sewn.
    for block in blocks.iter().rev() {
        let candidates = candidates::of(block, outlines, ground);
        let mut moves = Vec::new();
        for at in (1..block.len()).rev() {
            hanging.grow_to(block[at]);
            let between = Moves::new(&candidates[at - 1], &candidates[at], &mut hanging, settings);
            moves.push(between);
        }
        moves.reverse();
        hanging.grow_to(block[0]);
        account.count_parts(block, outlines, &mut hanging);
        let ends: Vec<&Ends> = block.iter().map(|&place| &outlines[place].ends).collect();
        let measure = |path: &[(usize, usize)], moves: &mut [Moves]| {
            let mut are_hidden = true;
            for (at, pair) in path.windows(2).enumerate() {
                let between = (&candidates[at], &candidates[at + 1]);
                let length = |from, to| {
                    // What is short enough to be left is not cut, hidden or not.
                    if distance(from, to) <= settings.trim_over {
                        return Some(distance(from, to));
                    }
                    beneath.length(from, to, block[at + 1], settings.hidden_travel)
                };
                are_hidden &= moves[at].measure(between, (pair[0].1, pair[1].0), length);
            }
            are_hidden
        };
        let mut path = cheapest(&ends, &candidates, &moves);
        if !measure(&path, &mut moves) {
            // Once more, without the ways that turned out not to be hidden.
            let other = cheapest(&ends, &candidates, &moves);
            measure(&other, &mut moves);
            let cost = |path: &[(usize, usize)]| cost(&ends, &candidates, &moves, path);
            if cost(&other) < cost(&path) {
                path = other;
            }
        }
        for (at, &(start, finish)) in path.iter().enumerate() {
            let candidates = &candidates[at];
            // Where nothing comes before or after, the step that makes the stitches may choose.
            chosen.push(Choice {
                object: block[at],
                start: candidates.starts.get(start).copied().filter(|_| at > 0),
                finish: candidates
                    .finishes
                    .get(finish)
                    .copied()
                    .filter(|_| at + 1 < path.len()),
            });
            if let (Some(between), Some(next)) = (moves.get(at), path.get(at + 1)) {
                account.count_move(between.between(finish, next.0));
            }
        }
    }
    (chosen, account)
}

/// One way from an object to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Way {
    /// Under what is sewn later; mm, straight until it is chosen and measured.
    Hidden(f64),
    /// Open on the cloth, and short enough to be left; mm.
    Open(f64),
    /// The thread is cut; mm.
    Cut(f64),
}

impl Way {
    fn seconds(self) -> f64 {
        match self {
            Self::Hidden(length) => length * HIDDEN,
            Self::Open(length) => length * OPEN,
            // A little by length, so that of two trims the shorter way wins.
            Self::Cut(length) => TRIM + length * HIDDEN / 10.0,
        }
    }
}

/// All ways from the candidates of one object to those of the next.
struct Moves {
    ways: Vec<Way>,
    columns: usize,
}

impl Moves {
    fn new(
        from: &Candidates,
        to: &Candidates,
        hanging: &mut Hanging,
        settings: &StartsAndFinishes,
    ) -> Self {
        let mut under = |place: &Coord<f64>| hanging.at(*place);
        let leave: Vec<Vec<usize>> = from.finishes.iter().map(&mut under).collect();
        let arrive: Vec<Vec<usize>> = to.starts.iter().map(&mut under).collect();
        let mut ways = Vec::new();
        for (a, under_a) in from.finishes.iter().zip(&leave) {
            for (b, under_b) in to.starts.iter().zip(&arrive) {
                let length = distance(*a, *b);
                let hidden = length <= settings.hidden_travel
                    && under_a.iter().any(|piece| under_b.contains(piece));
                ways.push(if hidden {
                    Way::Hidden(length)
                } else if length <= settings.trim_over {
                    Way::Open(length)
                } else {
                    Way::Cut(length)
                });
            }
        }
        Self {
            ways,
            columns: to.starts.len(),
        }
    }

    fn between(&self, finish: usize, start: usize) -> Option<Way> {
        self.ways.get(finish * self.columns + start).copied()
    }

    /// Gives the way from the candidate `finish` to the candidate `start` its true `length` if it is
    /// thought to be hidden, and has it cut where there is none. Gives whether it is as was thought.
    fn measure(
        &mut self,
        (from, to): (&Candidates, &Candidates),
        (finish, start): (usize, usize),
        length: impl Fn(Coord<f64>, Coord<f64>) -> Option<f64>,
    ) -> bool {
        let Some(Way::Hidden(thought)) = self.between(finish, start) else {
            return true;
        };
        let length = length(from.finishes[finish], to.starts[start]);
        self.ways[finish * self.columns + start] = length.map_or(Way::Cut(thought), Way::Hidden);
        length.is_some()
    }
}

/// Whether an object that begins at the candidate `start` can end at the candidate `finish`.
fn passes(ends: &Ends, candidates: &Candidates, start: usize, finish: usize) -> bool {
    let (start, finish) = (&candidates.starts[start], &candidates.finishes[finish]);
    match ends {
        Ends::Opposite([a, b]) if a != b => {
            // A start or finish set by hand need not lie on an end: the nearer end is meant.
            let is_first = |place: &Coord<f64>| distance(*place, *a) <= distance(*place, *b);
            is_first(start) != is_first(finish)
        }
        Ends::Round => distance(*start, *finish) < 1e-9,
        _ => true,
    }
}

/// What a choice costs in seconds.
fn cost(
    ends: &[&Ends],
    candidates: &[Candidates],
    moves: &[Moves],
    path: &[(usize, usize)],
) -> f64 {
    let ways = path.windows(2).zip(moves).map(|(pair, moves)| {
        let way = moves.between(pair[0].1, pair[1].0);
        way.map_or(0.0, Way::seconds)
    });
    let passed = path.iter().zip(ends).zip(candidates);
    let passed = passed.map(|((&(start, finish), ends), own)| {
        let may_pass = start >= own.starts.len() || finish >= own.finishes.len();
        if may_pass || passes(ends, own, start, finish) {
            0.0
        } else {
            IMPASSABLE
        }
    });
    ways.chain(passed).sum()
}

/// For each object of a block its start and its finish among the candidates, so that the whole costs
/// least; of equals the first.
fn cheapest(ends: &[&Ends], candidates: &[Candidates], moves: &[Moves]) -> Vec<(usize, usize)> {
    // For each finish of the object at hand: the cost up to it, and its own start; for each start the
    // finish before.
    let mut costs: Vec<f64> = Vec::new();
    let mut starts_of: Vec<Vec<usize>> = Vec::new();
    let mut finishes_of: Vec<Vec<usize>> = Vec::new();
    for (at, own) in candidates.iter().enumerate() {
        let mut arrived = vec![0.0; own.starts.len().max(1)];
        let mut from = vec![0; own.starts.len().max(1)];
        if let Some(before) = at.checked_sub(1) {
            for start in 0..own.starts.len() {
                let options = costs.iter().enumerate().map(|(finish, cost)| {
                    let way = moves[before].between(finish, start);
                    (finish, cost + way.map_or(0.0, Way::seconds))
                });
                if let Some((finish, cost)) = options.min_by(|a, b| a.1.total_cmp(&b.1)) {
                    (from[start], arrived[start]) = (finish, cost);
                }
            }
        }
        let mut left = vec![0.0; own.finishes.len().max(1)];
        let mut by = vec![0; own.finishes.len().max(1)];
        for finish in 0..own.finishes.len() {
            let options = (0..own.starts.len())
                .map(|start| {
                    let passes = passes(ends[at], own, start, finish);
                    (
                        start,
                        arrived[start] + if passes { 0.0 } else { IMPASSABLE },
                    )
                })
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((start, cost)) = options {
                (by[finish], left[finish]) = (start, cost);
            }
        }
        if own.finishes.is_empty() {
            // The last of a block: its finish is free, its start is the cheapest.
            let options = arrived.iter().enumerate();
            if let Some((start, &cost)) = options.min_by(|a, b| a.1.total_cmp(b.1)) {
                (by[0], left[0]) = (start, cost);
            }
        }
        costs = left;
        starts_of.push(by);
        finishes_of.push(from);
    }
    let last = costs.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1));
    let mut finish = last.map_or(0, |(finish, _)| finish);
    let mut path = vec![(0, 0); candidates.len()];
    for at in (0..candidates.len()).rev() {
        let start = starts_of[at][finish];
        path[at] = (start, finish);
        finish = finishes_of[at][start];
    }
    path
}

#[cfg(test)]
mod tests;
