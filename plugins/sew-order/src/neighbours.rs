//! Which objects of one thread lie near each other.

use crate::cost::Costs;
use crate::outline::Outline;
use crate::phases::Phase;
use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};
use std::collections::BTreeMap;

/// For each object, the nearest of its own thread and phase, nearest first.
pub(crate) struct Neighbours {
    /// Those that begin near where it ends.
    pub starts_near_finish: Vec<Vec<usize>>,
    /// Those that end near where it begins.
    pub finishes_near_start: Vec<Vec<usize>>,
}

type Placed = GeomWithData<Rectangle<[f64; 2]>, usize>;

impl Neighbours {
    /// The `count` nearest of each object, by the bounds of where they begin and end.
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
            let placed = |outline: &Outline, place| {
                let [least, greatest] = outline.bounds();
                Placed::new(
                    Rectangle::from_corners(least.into(), greatest.into()),
                    place,
                )
            };
            let starts = places.iter().map(|&p| placed(&costs.ends[p].start, p));
            let starts = RTree::bulk_load(starts.collect());
            let finishes = places.iter().map(|&p| placed(&costs.ends[p].finish, p));
            let finishes = RTree::bulk_load(finishes.collect());
            for &place in places {
                let ends = &costs.ends[place];
                near.starts_near_finish[place] = nearest(&starts, &ends.finish, place, count);
                near.finishes_near_start[place] = nearest(&finishes, &ends.start, place, count);
            }
        }
        near
    }
}

fn nearest(tree: &RTree<Placed>, to: &Outline, but: usize, count: usize) -> Vec<usize> {
    let [least, greatest] = to.bounds();
    let middle = (least + greatest) / 2.0;
    let all = tree.nearest_neighbor_iter([middle.x, middle.y]);
    all.map(|placed| placed.data)
        .filter(|&place| place != but)
        .take(count)
        .collect()
}
