//! Columns from the medial axis of a region: one along each chain of branches.

use crate::cap::{Cap, cap};
use crate::column::{Column, Rung};
use crate::fork::{Fork, forks_of, leaving, left_edge, right_edge};
use crate::rails::Rails;
use crate::sections::Drawn;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::medial_axis::{AxisPlace, BranchEnd, MedialAxis};
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// How far a column goes on under the one it ends at, in mm, but no more than half the way to
/// that one's middle.
const UNDERLAP: f64 = 0.8;

/// The end of an axis is dropped while it reaches less than this share of its half-width beyond
/// the circles before it: there the feet only swing around the tip.
const SWINGING: f64 = 0.05;

/// A column that may meet others at forks.
#[derive(Clone, Debug)]
pub struct Strand {
    /// The column.
    pub column: Column,
    /// The forks it starts and ends at.
    pub ends: [Option<usize>; 2],
    /// The forks it runs through, each with the rung at its middle.
    pub through: Vec<(usize, usize)>,
    /// Whether it covers what other columns leave bare.
    pub is_patch: bool,
}

impl Strand {
    /// The forks it ends at or runs through.
    pub fn forks(&self) -> impl Iterator<Item = usize> + '_ {
        let ends = self.ends.iter().flatten().copied();
        ends.chain(self.through.iter().map(|fork| fork.0))
    }

    /// The same strand, its forks numbered from `first` on.
    #[must_use]
    pub fn with_forks_from(mut self, first: usize) -> Self {
        for fork in self.ends.iter_mut().flatten() {
            *fork += first;
        }
        for fork in &mut self.through {
            fork.0 += first;
        }
        self
    }

    /// Whether its last end is nearer to `place` than its first; an end at a fork, which lies
    /// inside another column, counts only where both are.
    pub fn last_end_is_nearer(&self, place: Coord<f64>) -> bool {
        if self.ends[0].is_some() != self.ends[1].is_some() {
            return self.ends[1].is_none();
        }
        let mut rungs = self.column.rungs();
        let away = |rung: &Rung| distance(rung.middle, place);
        match (rungs.next(), rungs.next_back()) {
            (Some(first), Some(last)) => away(last) < away(first),
            _ => false,
        }
    }

    /// A column that meets no other.
    pub fn alone(column: Column) -> Self {
        Self {
            column,
            ends: [None, None],
            through: Vec::new(),
            is_patch: false,
        }
    }
}

/// Columns that together cover every part of the region with an axis of some length.
pub fn strands_of(axis: &MedialAxis) -> Vec<Strand> {
    let (forks, vanished) = forks_of(axis);
    let mut links = Links::default();
    for (number, fork) in forks.iter().enumerate() {
        for (place, &end) in fork.ends.iter().enumerate() {
            links.at.insert(end, (number, place));
        }
        let (i, j) = fork.through;
        links.next.insert(fork.ends[i], fork.ends[j]);
        links.next.insert(fork.ends[j], fork.ends[i]);
    }
    for node in &axis.nodes {
        if let [a, b] = node.ends[..] {
            links.next.insert(a, b);
            links.next.insert(b, a);
        }
    }
    let mut used = vanished;
    let mut strands = Vec::new();
    let both = |branch| [false, true].map(|last| BranchEnd { branch, last });
    // First the chains with ends, then those that run all the way round.
    let loose = (0..used.len())
        .flat_map(both)
        .filter(|end| !links.next.contains_key(end));
    let any = (0..used.len()).flat_map(both);
    for start in loose.chain(any).collect::<Vec<_>>() {
        if !used[start.branch] {
            let chain = links.chain_from(start, &mut used);
            strands.extend(assemble(axis, &forks, &links, &chain));
        }
    }
    strands
}

/// How branch ends hang together.
#[derive(Default)]
struct Links {
    /// The fork of an end, and its place around it.
    at: BTreeMap<BranchEnd, (usize, usize)>,
    /// The end by which a column goes on that arrives at an end.
    next: BTreeMap<BranchEnd, BranchEnd>,
}

/// Branches that follow each other; each is given by the end it is entered at.
struct Chain {
    entries: Vec<BranchEnd>,
    closed: bool,
}

impl Links {
    fn chain_from(&self, start: BranchEnd, used: &mut [bool]) -> Chain {
        let mut entries = vec![start];
        used[start.branch] = true;
        loop {
            let entry = entries[entries.len() - 1];
            let arrival = BranchEnd {
                last: !entry.last,
                ..entry
            };
            match self.next.get(&arrival) {
                Some(&next) if next == start => {
                    return Chain {
                        entries,
                        closed: true,
                    };
                }
                Some(&next) if !used[next.branch] => {
                    used[next.branch] = true;
                    entries.push(next);
                }
                _ => {
                    return Chain {
                        entries,
                        closed: false,
                    };
                }
            }
        }
    }
}

fn assemble(axis: &MedialAxis, forks: &[Fork], links: &Links, chain: &Chain) -> Option<Strand> {
    let mut rails = Rails::default();
    let mut through = Vec::new();
    let mut ends = [None, None];
    // How many rungs belong to the caps: those stay as they are.
    let (mut head, mut body) = (0, usize::MAX);
    let last = chain.entries.len() - 1;
    for (number, &entry) in chain.entries.iter().enumerate() {
        let arrival = BranchEnd {
            last: !entry.last,
            ..entry
        };
        let mut places = leaving(axis, entry);
        let starts = number == 0 && !chain.closed;
        let stops = number == last && !chain.closed;
        if starts {
            ends[0] = links.at.get(&entry).map(|fork| fork.0);
            if ends[0].is_none() {
                places.reverse();
                drop_swinging_end(&mut places);
                places.reverse();
            }
        }
        if stops {
            ends[1] = links.at.get(&arrival).map(|fork| fork.0);
            if ends[1].is_none() {
                drop_swinging_end(&mut places);
            }
        }
        let (first, end) = (places[0], places[places.len() - 1]);
        if starts {
            // Seen from the column's start, its sides change places.
            let outward = places
                .iter()
                .rev()
                .map(|&place| turned(place))
                .collect::<Vec<_>>();
            let end = match ends[0] {
                Some(fork) => under(&outward, &forks[fork]),
                None => tip(axis, &outward),
            };
            rails.extend(end.rungs.into_iter().rev().map(Rung::turned));
            head = rails.len();
            rails.extend(end.swing.into_iter().rev().map(Rung::turned));
        }
        rails.rung(first.left.at, first.right.at);
        for pair in places.windows(2) {
            let left = left_edge(&axis.rings, &pair[0], &pair[1]);
            let right = right_edge(&axis.rings, &pair[0], &pair[1]);
            rails.advance(left, right);
        }
        if stops {
            let end = match ends[1] {
                Some(fork) => under(&places, &forks[fork]),
                None => tip(axis, &places),
            };
            rails.extend(end.swing);
            body = rails.len();
            rails.extend(end.rungs);
        } else if let Some(&(fork, from)) = links.at.get(&arrival) {
            let before = rails.len();
            let exit = links
                .next
                .get(&arrival)
                .and_then(|next| links.at.get(next))?;
            let (left, right) = across(axis, &forks[fork], from, exit.1, end);
            rails.advance(left, right);
            through.push((fork, (before + rails.len()) / 2));
        }
    }
    let mut rungs = rails.into_rungs();
    if chain.closed {
        // Feet on both sides come back to where they began, up to the sampling.
        rungs.extend(rungs.first().copied());
    }
    let drawn = Drawn {
        body: body.min(rungs.len()),
        rungs,
        closed: chain.closed,
        head,
    };
    // Where the forks are among the rungs of the column.
    let mut marked: Vec<(usize, Coord<f64>)> = through
        .iter()
        .map(|&(fork, rung)| (rung, forks[fork].at))
        .collect();
    let column = drawn.into_column(&mut marked)?;
    for (fork, (rung, _)) in through.iter_mut().zip(marked) {
        fork.1 = rung;
    }
    Some(Strand {
        column,
        ends,
        through,
        is_patch: false,
    })
}

fn turned(place: AxisPlace) -> AxisPlace {
    AxisPlace {
        left: place.right,
        right: place.left,
        ..place
    }
}

/// Drops last places whose feet only swing around the tip.
fn drop_swinging_end(places: &mut Vec<AxisPlace>) {
    let Some(&end) = places.last() else {
        return;
    };
    let mut keep = places.len();
    let mut way = 0.0;
    while keep > 1 {
        let (here, before) = (places[keep - 1], places[keep - 2]);
        way += distance(here.at, before.at);
        if way + end.radius - before.radius > SWINGING * before.radius {
            break;
        }
        keep -= 1;
    }
    places.truncate(keep);
}

/// The direction of a column at its last place: square to the line between the feet.
fn outward(places: &[AxisPlace]) -> Option<Coord<f64>> {
    let end = places.last()?;
    let across = end.left.at - end.right.at;
    let width = across.x.hypot(across.y);
    if width > 0.3 * end.radius && width > 1e-6 {
        return Some(
            Coord {
                x: across.y,
                y: -across.x,
            } / width,
        );
    }
    let back = places
        .iter()
        .rev()
        .find(|place| distance(place.at, end.at) > 0.1)?;
    Some((end.at - back.at) / distance(back.at, end.at))
}

/// The rungs beyond the last place of a column up to the region's edge.
fn tip(axis: &MedialAxis, places: &[AxisPlace]) -> Cap {
    let (Some(end), Some(outward)) = (places.last(), outward(places)) else {
        return Cap::default();
    };
    if end.left.ring != end.right.ring || end.radius == 0.0 {
        return Cap::default();
    }
    let edge = axis.rings[end.right.ring].piece(end.right.along, end.left.along);
    cap(&edge, outward)
}

/// The rung that carries a column a little way under the one that runs through a fork.
fn under(places: &[AxisPlace], fork: &Fork) -> Cap {
    let (Some(end), Some(outward)) = (places.last(), outward(places)) else {
        return Cap::default();
    };
    let by = UNDERLAP.min(0.5 * fork.radius);
    Cap {
        swing: Vec::new(),
        rungs: vec![Rung::new(end.left.at, end.right.at).moved(outward * by)],
    }
}

/// The two sides of a column that runs through a fork from one end to another: along the edge,
/// and straight over the mouths of the branches that end there.
fn across(
    axis: &MedialAxis,
    fork: &Fork,
    from: usize,
    to: usize,
    arrival: AxisPlace,
) -> (Vec<Coord<f64>>, Vec<Coord<f64>>) {
    let count = fork.ends.len();
    let exit = leaving(axis, fork.ends[to])[0];
    let mut right = vec![arrival.right.at];
    let mut end = from;
    while end != to {
        right.extend(&fork.gaps[end]);
        end = (end + 1) % count;
    }
    right.push(exit.right.at);
    let mut left = vec![exit.left.at];
    while end != from {
        left.extend(&fork.gaps[end]);
        end = (end + 1) % count;
    }
    left.push(arrival.left.at);
    left.reverse();
    left.dedup();
    right.dedup();
    (left, right)
}
