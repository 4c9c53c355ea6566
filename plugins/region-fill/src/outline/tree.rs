//! Which rings are joined: neighbours, so that all hang together and no two ways lead round.

use super::levels::Levels;
use super::near::Near;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::groups::Groups;

/// Two rings to be joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// The outer one, where they are nested.
    pub outer: usize,
    /// The inner one, where they are nested.
    pub inner: usize,
    /// Whether one follows the other inward; otherwise they meet in the middle of the region.
    pub nested: bool,
}

/// Places looked at along each ring at first.
const COARSE: usize = 16;

/// A spanning tree of the rings (as J. Kruskal, 1956): rings one step apart are joined where they
/// can be, rings of one depth only across the middle between them.
pub fn tree(levels: &Levels, pitch: f64) -> Vec<Edge> {
    let mut groups = Groups::new(levels.rings.len());
    let mut edges = Vec::new();
    // From the inside, so that all of a layer hangs together before the layer round it is looked at.
    for layer in levels.layers.iter().rev() {
        let inner: Vec<usize> = layer
            .inner
            .iter()
            .flat_map(|&layer| levels.layers[layer].rings.iter().copied())
            .collect();
        if layer.rings.is_empty() {
            if !are_one(&mut groups, &inner) {
                let near = Near::new(&levels.rings, &inner, 2.5 * pitch);
                join_across(levels, &inner, &near, pitch, &mut groups, &mut edges);
                join_nearest(levels, &inner, &mut groups, &mut edges);
            }
            continue;
        }
        let near = Near::new(&levels.rings, &layer.rings, 2.5 * pitch);
        let all: Vec<usize> = layer.rings.iter().chain(&inner).copied().collect();
        for most in [COARSE, usize::MAX] {
            for &ring in &inner {
                for at in levels.rings[ring].samples(pitch, most) {
                    let place = levels.rings[ring].place(at);
                    let foot = near.nearest(place, |_| true);
                    let foot = foot.filter(|foot| foot.away < 1.5 * pitch);
                    if let Some(foot) = foot.filter(|foot| groups.merge(foot.ring, ring)) {
                        edges.push(Edge {
                            outer: foot.ring,
                            inner: ring,
                            nested: true,
                        });
                    }
                }
            }
            if are_one(&mut groups, &all) {
                break;
            }
        }
        if !are_one(&mut groups, &all) {
            join_across(levels, &layer.rings, &near, pitch, &mut groups, &mut edges);
        }
        if !are_one(&mut groups, &all) {
            join_nearest(levels, &all, &mut groups, &mut edges);
        }
    }
    edges
}

/// Joins rings of one depth between which no deeper one fits, the nearest first.
fn join_across(
    levels: &Levels,
    rings: &[usize],
    near: &Near,
    pitch: f64,
    groups: &mut Groups,
    edges: &mut Vec<Edge>,
) {
    let mut found = Vec::new();
    for &ring in rings {
        let own = groups.of(ring);
        let apart: Vec<usize> = rings
            .iter()
            .copied()
            .filter(|&other| groups.of(other) != own)
            .collect();
        for at in levels.rings[ring].samples(pitch, usize::MAX) {
            let place = levels.rings[ring].place(at);
            let foot = near.nearest(place, |other| apart.binary_search(&other).is_ok());
            found.extend(foot.map(|foot| (foot.away, foot.ring, ring)));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, a, b) in found {
        if groups.merge(a, b) {
            edges.push(Edge {
                outer: a,
                inner: b,
                nested: false,
            });
        }
    }
}

/// Joins whatever is still apart where it comes nearest: parts on either side of a hair-thin neck.
fn join_nearest(levels: &Levels, rings: &[usize], groups: &mut Groups, edges: &mut Vec<Edge>) {
    let Some((&first, others)) = rings.split_first() else {
        return;
    };
    while !are_one(groups, rings) {
        let own = groups.of(first);
        let (within, apart): (Vec<usize>, Vec<usize>) = std::iter::once(first)
            .chain(others.iter().copied())
            .partition(|&ring| groups.of(ring) == own);
        let mut best = (f64::INFINITY, first, first);
        for &a in &within {
            for &b in &apart {
                let corners = levels.rings[a].corners().iter();
                for &corner in corners {
                    let ring = &levels.rings[b];
                    let away = distance(corner, ring.place(ring.nearest(corner)));
                    if away < best.0 {
                        best = (away, a, b);
                    }
                }
            }
        }
        if !groups.merge(best.1, best.2) {
            return;
        }
        edges.push(Edge {
            outer: best.1,
            inner: best.2,
            nested: false,
        });
    }
}

/// Whether all of them hang together.
fn are_one(groups: &mut Groups, all: &[usize]) -> bool {
    all.windows(2)
        .all(|pair| groups.of(pair[0]) == groups.of(pair[1]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    #[test]
    fn all_rings_hang_together_as_a_tree() {
        let holed = polygon!(
            exterior: [(x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 20.), (x: 0., y: 20.)],
            interiors: [
                [(x: 3., y: 3.), (x: 9., y: 3.), (x: 9., y: 9.), (x: 3., y: 9.)],
                [(x: 20., y: 5.), (x: 25., y: 9.), (x: 20., y: 9.)],
            ],
        );
        let levels = Levels::new(&holed, 0.2);
        let edges = tree(&levels, 0.2);
        assert_eq!(edges.len() + 1, levels.rings.len());
        assert!(edges.iter().filter(|edge| !edge.nested).count() <= 2);
    }

    /// Between the two edges of an even band no ring is left in the middle: they join across it.
    #[test]
    fn the_sides_of_a_band_join_across_its_middle() {
        let frame = polygon!(
            exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
            interiors: [[(x: 3.1, y: 3.1), (x: 17., y: 3.1), (x: 17., y: 17.), (x: 3.1, y: 17.)]],
        );
        let levels = Levels::new(&frame, 0.2);
        let edges = tree(&levels, 0.2);
        assert_eq!(edges.len() + 1, levels.rings.len());
        assert_eq!(edges.iter().filter(|edge| !edge.nested).count(), 1);
    }
}
