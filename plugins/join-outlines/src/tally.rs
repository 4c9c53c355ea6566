//! What a trail costs, and what it would cost otherwise.

use crate::inspection::{Graph, Inspection, greatest_exact, pair_exactly};
use crate::network::{Edge, Part, Use};
use geometry::measure::distance;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// The costs of one part's trail, in mm where not said otherwise.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    /// The length of all drawn edges.
    pub drawn: f64,
    /// The length that is passed a second time in the open.
    pub retraced: f64,
    /// The length that is passed a second time under what is sewn later.
    pub retraced_hidden: f64,
    /// The length of hidden ways beside the drawn lines.
    pub travel: f64,
    /// How many joints join an odd number of edges.
    pub odd_joints: usize,
    /// How many trails it would take without sewing anything again (Euler).
    pub trails_without_retracing: usize,
    /// How many pieces hung together before hidden ways linked them.
    pub components: usize,
    /// How many hidden ways there were to choose from.
    pub ways: usize,
    /// No unbroken thread along all drawn edges is shorter than this, wherever it goes between
    /// them: all edges, and the shortest straight ways that pair the joints of odd number.
    pub least_thread: f64,
    /// How much longer than the shortest, at most, the counted length that is passed again is, as
    /// a share of the whole walk; 0 where it is proven the shortest.
    pub gap: f64,
}

impl Tally {
    /// The tally of a walk; of one that passes each edge once where there is none.
    pub fn of(part: &Part, graph: &Graph, walk: Option<&Inspection>) -> Self {
        let mut times = vec![0_u32; part.edges.len()];
        match walk {
            Some(walk) => {
                for passage in &walk.trail {
                    times[passage.edge] += 1;
                }
            }
            None => times.fill(1),
        }
        let odd = odd_joints(part);
        let [components, trails_without_retracing] = euler(part, &odd);
        let mut tally = Self {
            odd_joints: odd.len(),
            trails_without_retracing,
            components,
            ..Self::default()
        };
        for (edge, &times) in part.edges.iter().zip(&times) {
            let (long, times) = (edge.length(), f64::from(times));
            if edge.used_as == Use::Drawn {
                let hidden = edge.hidden.min(long);
                tally.drawn += long;
                tally.retraced += (times - 1.0) * (long - hidden);
                tally.retraced_hidden += (times - 1.0) * hidden;
            } else {
                tally.travel += times * long;
                tally.ways += 1;
            }
        }
        tally.least_thread = tally.drawn + least_moves(&odd);
        if let Some(walk) = walk {
            let walked = graph.length() + walk.retraced;
            let least = graph.length() + walk.least_retraced;
            tally.gap = walked as f64 / least.max(1) as f64 - 1.0;
            let forced = components.saturating_sub(1);
            if tally.ways > forced {
                // Frederickson's bound.
                tally.gap = tally.gap.max(0.5);
            }
        }
        tally
    }
}

/// The places of the joints where an odd number of drawn edges ends, with one of those edges.
fn odd_joints(part: &Part) -> Vec<(usize, Coord<f64>)> {
    let places = part.places();
    let mut odd = vec![false; places.len()];
    for joint in drawn(part).flat_map(|edge| edge.joints) {
        odd[joint] = !odd[joint];
    }
    let joints = (0..places.len()).filter(|&joint| odd[joint]);
    joints.map(|joint| (joint, places[joint])).collect()
}

fn drawn(part: &Part) -> impl Iterator<Item = &Edge> {
    part.edges.iter().filter(|edge| edge.used_as == Use::Drawn)
}

/// The number of pieces that hang together by drawn edges, and of the trails they take: half of
/// the odd joints of each, one where it has none (Euler).
fn euler(part: &Part, odd: &[(usize, Coord<f64>)]) -> [usize; 2] {
    let joints = part.edges.iter().flat_map(|edge| edge.joints);
    let mut groups = Groups::new(joints.max().map_or(0, |last| last + 1));
    for edge in drawn(part) {
        groups.merge(edge.joints[0], edge.joints[1]);
    }
    let mut odd_of = std::collections::BTreeMap::new();
    for edge in drawn(part) {
        odd_of.entry(groups.of(edge.joints[0])).or_insert(0_usize);
    }
    for &(joint, _) in odd {
        *odd_of.entry(groups.of(joint)).or_default() += 1;
    }
    [
        odd_of.len(),
        odd_of.values().map(|&odd| (odd / 2).max(1)).sum(),
    ]
}

/// A length that the straight ways pairing all `odd` joints but two are not under: the least of
/// all pairings, or with very many joints half the way from each to its nearest.
fn least_moves(odd: &[(usize, Coord<f64>)]) -> f64 {
    let count = odd.len();
    if count <= 2 {
        return 0.0;
    }
    if count <= greatest_exact() / 2 {
        let between = |i: usize, j: usize| (distance(odd[i].1, odd[j].1) * 1e6) as u64;
        let lengths: Vec<u64> = (0..count * count)
            .map(|k| between(k / count, k % count))
            .collect();
        let mates = pair_exactly(&lengths, count, true);
        let paired = mates.iter().enumerate();
        let twice: u64 = paired
            .filter_map(|(i, mate)| Some(lengths[i * count + (*mate)?]))
            .sum();
        return twice as f64 / 2e6;
    }
    let places = odd.iter().enumerate();
    let places = places.map(|(i, (_, at))| GeomWithData::new([at.x, at.y], i));
    let tree = RTree::bulk_load(places.collect());
    let mut nearest: Vec<f64> = odd
        .iter()
        .filter_map(|(_, at)| {
            let mut near = tree.nearest_neighbor_iter([at.x, at.y]);
            near.nth(1).map(|other| distance(odd[other.data].1, *at))
        })
        .collect();
    nearest.sort_by(f64::total_cmp);
    nearest.iter().rev().skip(2).sum::<f64>() / 2.0
}
