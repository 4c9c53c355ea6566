//! Ends that lie within reach of each other.

use crate::path::{Path, Side};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// A line meets itself only where it is this many times longer than the reach: else it would be
/// pressed into a dot.
pub(crate) const LONG: f64 = 4.0;

/// How many neighbours of an end are looked at.
const NEIGHBOURS: usize = 64;

/// One end of one line, by the line's place in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct End {
    pub path: usize,
    pub side: Side,
}

/// Groups of ends, each within `reach` of every other one of its group; an end that meets no other
/// is a group of its own. The nearest meet first, so that the order of lines decides only between
/// equally near ones.
pub(crate) fn groups(paths: &[Path], reach: f64) -> Vec<Vec<End>> {
    let ends = all(paths);
    let place = |end: usize| paths[ends[end].path].end(ends[end].side);
    let tree = RTree::bulk_load(
        (0..ends.len())
            .map(|end| GeomWithData::new([place(end).x, place(end).y], end))
            .collect(),
    );
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for end in 0..ends.len() {
        let at = place(end);
        let near = tree.nearest_neighbor_iter([at.x, at.y]);
        for neighbour in near.take(NEIGHBOURS) {
            let far = distance(at, place(neighbour.data));
            if far > reach {
                break;
            }
            if neighbour.data != end {
                pairs.push((far, end.min(neighbour.data), end.max(neighbour.data)));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    pairs.dedup();
    let mut group_of: Vec<usize> = (0..ends.len()).collect();
    let mut groups: Vec<Vec<usize>> = (0..ends.len()).map(|end| vec![end]).collect();
    for (_, a, b) in pairs {
        let (a, b) = (group_of[a], group_of[b]);
        let may_meet = |&a: &usize, &b: &usize| {
            let one_line = ends[a].path == ends[b].path;
            let long = paths[ends[a].path].length() > LONG * reach;
            distance(place(a), place(b)) <= reach && (long || !one_line)
        };
        if a != b
            && groups[a]
                .iter()
                .all(|a| groups[b].iter().all(|b| may_meet(a, b)))
        {
            let (into, from) = (a.min(b), a.max(b));
            for end in std::mem::take(&mut groups[from]) {
                group_of[end] = into;
                groups[into].push(end);
            }
        }
    }
    groups
        .into_iter()
        .filter(|group| !group.is_empty())
        .map(|mut group| {
            group.sort_unstable();
            group.into_iter().map(|end| ends[end]).collect()
        })
        .collect()
}

/// Each end alone.
pub(crate) fn alone(paths: &[Path]) -> Vec<Vec<End>> {
    all(paths).into_iter().map(|end| vec![end]).collect()
}

fn all(paths: &[Path]) -> Vec<End> {
    (0..paths.len())
        .flat_map(|path| Side::BOTH.map(|side| End { path, side }))
        .collect()
}

/// The middle of a group's ends.
pub(crate) fn middle(group: &[End], paths: &[Path]) -> Coord<f64> {
    let sum = group
        .iter()
        .map(|end| paths[end.path].end(end.side))
        .fold(Coord::zero(), |sum, place| sum + place);
    sum / group.len().max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(ends: &[[(f64, f64); 2]]) -> Vec<Path> {
        let line = |&[a, b]: &[(f64, f64); 2]| {
            let corners = [a, b].map(|(x, y)| Coord { x, y });
            Path::open(0, 0, &Polyline::new(corners, false)).expect("it has two ends")
        };
        ends.iter().map(line).collect()
    }

    #[test]
    fn every_end_of_a_group_is_within_reach_of_every_other() {
        // Ends at 0, 0.4, 0.7 and 1.1 mm in a row: the two nearest meet first, and the outer two
        // are too far from one of them.
        let paths = lines(&[
            [(0., 0.), (0., 50.)],
            [(0.4, 0.), (9., 50.)],
            [(0.7, 0.), (19., 50.)],
            [(1.1, 0.), (29., 50.)],
        ]);
        let groups = groups(&paths, 0.5);
        let sizes: Vec<usize> = groups.iter().map(Vec::len).collect();
        assert_eq!(sizes.iter().filter(|&&size| size == 2).count(), 1);
        assert_eq!(sizes.iter().sum::<usize>(), 8);
        let pair = groups
            .iter()
            .find(|group| group.len() == 2)
            .expect("one pair");
        assert_eq!([pair[0].path, pair[1].path], [1, 2]);
        let middle = middle(pair, &paths);
        assert!((middle.x - 0.55).abs() < 1e-12);
    }

    #[test]
    fn a_short_line_is_not_pressed_into_a_dot() {
        let paths = lines(&[[(0., 0.), (0.4, 0.)]]);
        assert_eq!(groups(&paths, 0.5).len(), 2);
    }

    #[test]
    fn a_heap_of_ends_is_grouped_in_time() {
        let heap: Vec<[(f64, f64); 2]> = (0..3000)
            .map(|i| [(0.0, 0.0), (100.0 + f64::from(i), 50.0)])
            .collect();
        let groups = groups(&lines(&heap), 0.5);
        assert!(groups.iter().any(|group| group.len() > NEIGHBOURS / 2));
    }
}
