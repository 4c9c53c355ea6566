//! Which objects of one thread lie near each other.

use crate::cost::Costs;
use crate::phases::Phase;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::collections::BTreeMap;

/// For each object, the nearest of its own thread and phase, nearest first.
pub(crate) struct Neighbours {
    /// Those that begin near where it ends.
    pub starts_near_finish: Vec<Vec<usize>>,
    /// Those that end near where it begins.
    pub finishes_near_start: Vec<Vec<usize>>,
}

type Placed = GeomWithData<[f64; 2], usize>;

impl Neighbours {
    /// The `count` nearest of each object.
    pub fn of(costs: &Costs, phases: &[Phase], count: usize) -> Self {
        let mut kinds: BTreeMap<(usize, Phase), Vec<usize>> = BTreeMap::new();
        for (place, (&thread, &phase)) in costs.threads.iter().zip(phases).enumerate() {
            kinds.entry((thread, phase)).or_default().push(place);
        }
        let mut near = Self {
            starts_near_finish: vec![Vec::new(); phases.len()],
            finishes_near_start: vec![Vec::new(); phases.len()],
        };
        for places in kinds.values() {
            let tree_of = |at: &dyn Fn(usize) -> Coord<f64>| {
                let placed = places
                    .iter()
                    .map(|&place| Placed::new(at(place).into(), place));
                RTree::bulk_load(placed.collect())
            };
            let starts = tree_of(&|place| costs.ends[place].start);
            let finishes = tree_of(&|place| costs.ends[place].finish);
            for &place in places {
                let ends = costs.ends[place];
                near.starts_near_finish[place] = nearest(&starts, ends.finish, place, count);
                near.finishes_near_start[place] = nearest(&finishes, ends.start, place, count);
            }
        }
        near
    }
}

fn nearest(tree: &RTree<Placed>, to: Coord<f64>, but: usize, count: usize) -> Vec<usize> {
    let all = tree.nearest_neighbor_iter([to.x, to.y]);
    all.map(|placed| placed.data)
        .filter(|&place| place != but)
        .take(count)
        .collect()
}
