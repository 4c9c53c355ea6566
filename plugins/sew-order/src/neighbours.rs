//! Which objects of one thread lie near each other.

use crate::cost::Costs;
use crate::phases::Phase;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::Rect;
use hoopwright_sdk::geometry::measure::between_rects;
use std::collections::BTreeMap;

/// For each object, the nearest of its own thread and phase.
pub(crate) struct Neighbours {
    /// Those that begin near where it ends.
    pub starts_near_finish: Vec<Vec<usize>>,
    /// Those that end near where it begins.
    pub finishes_near_start: Vec<Vec<usize>>,
}

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
        let sites = costs.gaps.sites();
        let starts = |place: usize| sites[place].start();
        let finishes = |place: usize| sites[place].finish();
        for places in kinds.values() {
            let start_boxes = Boxes::new(places.iter().map(|&place| (place, starts(place))));
            let finish_boxes = Boxes::new(places.iter().map(|&place| (place, finishes(place))));
            for &place in places {
                near.starts_near_finish[place] =
                    nearest(&start_boxes, starts, finishes(place), place, count);
                near.finishes_near_start[place] =
                    nearest(&finish_boxes, finishes, starts(place), place, count);
            }
        }
        near
    }
}

/// The nearest to the middle of `rect`, and as many of those nearest to itself by their bounds.
fn nearest(
    boxes: &Boxes,
    bounds: impl Fn(usize) -> Rect<f64>,
    rect: Rect<f64>,
    but: usize,
    count: usize,
) -> Vec<usize> {
    let others = || {
        let all = boxes.nearest(rect.center()).map(|(place, _)| place);
        all.filter(|&place| place != but)
    };
    let mut nearest: Vec<usize> = others().take(count).collect();
    // A large object has neighbours all along its edge.
    let mut beside: Vec<(f64, usize)> = others()
        .take(4 * count)
        .map(|place| (between_rects(&rect, &bounds(place)), place))
        .collect();
    beside.sort_by(|a, b| a.0.total_cmp(&b.0));
    nearest.extend(beside.into_iter().take(count).map(|(_, place)| place));
    nearest.sort_unstable();
    nearest.dedup();
    nearest
}
