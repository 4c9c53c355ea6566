//! Squares of cloth that lie side by side are one place: they are told together.

use super::cloth::Cell;
use super::measurement::Spot;
use std::collections::BTreeMap;

/// Gives every spot the object of the worst spot among those that it hangs together with, side by
/// side or corner to corner.
pub(super) fn gathered(mut spots: BTreeMap<Cell, Spot>) -> Vec<Spot> {
    let mut waiting: Vec<Cell> = spots.keys().copied().collect();
    waiting.reverse();
    let mut cluster_of: BTreeMap<Cell, usize> = BTreeMap::new();
    let mut worst: Vec<Cell> = Vec::new();
    while let Some(start) = waiting.pop() {
        if cluster_of.contains_key(&start) {
            continue;
        }
        let cluster = worst.len();
        worst.push(start);
        cluster_of.insert(start, cluster);
        let mut open = vec![start];
        while let Some(cell) = open.pop() {
            let value = |cell: &Cell| spots.get(cell).map_or(0.0, |spot| spot.value);
            // The first of equals, so that nothing depends on the way through the cluster.
            let better = value(&cell).total_cmp(&value(&worst[cluster]));
            if better.then(worst[cluster].cmp(&cell)).is_gt() {
                worst[cluster] = cell;
            }
            for down in -1..=1 {
                for across in -1..=1 {
                    let next = [cell[0] + across, cell[1] + down];
                    if spots.contains_key(&next) && !cluster_of.contains_key(&next) {
                        cluster_of.insert(next, cluster);
                        open.push(next);
                    }
                }
            }
        }
    }
    let objects: Vec<Option<usize>> = worst
        .iter()
        .map(|cell| spots.get(cell).and_then(|spot| spot.object))
        .collect();
    for (cell, cluster) in cluster_of {
        if let Some(spot) = spots.get_mut(&cell) {
            spot.object = objects[cluster];
        }
    }
    spots.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_take_the_object_of_the_worst() {
        let spot = |value: f64, object: usize| Spot {
            value,
            at: None,
            object: Some(object),
        };
        let spots = BTreeMap::from([
            ([0, 0], spot(11.0, 1)),
            ([1, 1], spot(13.0, 2)),
            ([2, 0], spot(12.0, 3)),
            ([5, 0], spot(20.0, 4)),
        ]);
        let objects: Vec<_> = gathered(spots).into_iter().map(|s| s.object).collect();
        assert_eq!(objects, [Some(2), Some(2), Some(2), Some(4)]);
        assert!(gathered(BTreeMap::new()).is_empty());
    }
}
