//! Which triangles carry a part of the axis that is worth keeping.

use super::Pruning;
use super::graph::{Graph, build};
use super::triangles::Triangles;

/// The triangles that are kept.
pub(super) struct Kept {
    pub triangles: Vec<bool>,
    /// Whether the triangle is the last before a corner that the axis runs into.
    pub corner: Vec<bool>,
}

impl Kept {
    /// The sides of a triangle behind which another one is kept.
    pub fn sides(
        &self,
        triangles: &Triangles,
        place: usize,
    ) -> impl Iterator<Item = usize> + use<> {
        let across = triangles.all[place].across;
        let kept = across.map(|beyond| beyond.is_some_and(|beyond| self.triangles[beyond]));
        (0..3).filter(move |&side| kept[side])
    }
}

/// Cuts off all that `pruning` is not worth keeping.
pub(super) fn prune(triangles: &Triangles, pruning: Pruning) -> Kept {
    let mut kept = Kept {
        triangles: vec![true; triangles.all.len()],
        corner: (0..triangles.all.len())
            .map(|place| ends_in_corner(triangles, place, pruning.least_separation))
            .collect(),
    };
    cut_narrow_tips(triangles, &mut kept, pruning.least_separation);
    // Cutting a branch makes one branch of the two that it sprang from, so look again. Every
    // round but the last cuts something.
    loop {
        let graph = build(triangles, &kept);
        let cut = branches_without_reach(&graph, pruning.least_reach);
        if cut.is_empty() {
            return kept;
        }
        for place in cut {
            kept.triangles[place] = false;
        }
    }
}

/// Whether the triangle lies in a corner of the region that is sharp enough.
fn ends_in_corner(triangles: &Triangles, place: usize, least_separation: f64) -> bool {
    let triangle = &triangles.all[place];
    let tip = (0..3).find(|&side| triangle.across[side].is_some());
    let lone = triangle.across.iter().flatten().count() == 1;
    lone && tip.is_some_and(|side| {
        let tip = triangle.corners[(side + 2) % 3];
        180.0 - triangles.angle_at(tip) >= least_separation
    })
}

/// From the tips inwards, cuts off triangles until the feet of the axis lie far enough apart.
fn cut_narrow_tips(triangles: &Triangles, kept: &mut Kept, least_separation: f64) {
    let mut open: Vec<usize> = (0..triangles.all.len()).collect();
    while let Some(place) = open.pop() {
        if !kept.triangles[place] || kept.corner[place] {
            continue;
        }
        let mut sides = kept.sides(triangles, place);
        let (Some(side), None) = (sides.next(), sides.next()) else {
            continue;
        };
        if triangles.separation(place, side) < least_separation {
            kept.triangles[place] = false;
            open.extend(triangles.all[place].across[side]);
        }
    }
}

/// The triangles of the branches with a loose end that do not reach far enough beyond the circle
/// they spring from.
fn branches_without_reach(graph: &Graph, least_reach: f64) -> Vec<usize> {
    let mut cut = Vec::new();
    for branch in &graph.branches {
        let (from, to) = (&graph.nodes[branch.from], &graph.nodes[branch.to]);
        let root = match (from.ends.len(), to.ends.len()) {
            (1, 1) => {
                // A part by itself: as good as round where it is short.
                let root = if from.radius >= to.radius { from } else { to };
                if branch.length() < 0.5 * least_reach * root.radius {
                    cut.extend(
                        branch
                            .triangles
                            .iter()
                            .filter(|&&place| place != root.triangle),
                    );
                }
                continue;
            }
            (1, 3..) => to,
            (3.., 1) => from,
            _ => continue,
        };
        if branch.reach_beyond(root) < least_reach * root.radius {
            cut.extend(
                branch
                    .triangles
                    .iter()
                    .filter(|&&place| place != root.triangle),
            );
        }
    }
    cut
}
