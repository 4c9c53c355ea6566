//! What makes a file bad on the machine, measured on the sewn design.

use hoopwright::design::{Design, Shape, StitchKind, StitchRole};
use hoopwright_geometry::measure::distance;

/// Lengths of all moves from needle point to needle point, in mm, each with whether it belongs to
/// a tie. Moves with the needle up are not among them.
pub fn stitch_lengths(design: &Design) -> Vec<(f64, bool)> {
    let mut lengths = Vec::new();
    for object in &design.objects {
        let stitches: Vec<_> = object.each_stitch().collect();
        for pair in stitches.windows(2) {
            if pair.iter().all(|stitch| stitch.kind == StitchKind::Needle) {
                let length = distance(pair[0].at, pair[1].at);
                let tie = pair.iter().any(|stitch| stitch.role == StitchRole::Tie);
                lengths.push((length, tie));
            }
        }
    }
    lengths
}

pub fn count(design: &Design, kind: StitchKind) -> usize {
    let blocks = design.objects.iter().flat_map(|object| &object.stitches);
    blocks
        .filter(|block| block.kind == kind)
        .map(|block| block.x.len())
        .sum()
}

/// Of each object that is one connected region, how often the needle stays up between its first
/// needle point and its last. The trim or jump that leads to it is not counted.
pub fn breaks_inside_regions(design: &Design) -> Vec<(&str, usize)> {
    let connected =
        |shape: &Shape| matches!(shape, Shape::Region(region) if region.polygons.len() == 1);
    design
        .objects
        .iter()
        .filter(|object| connected(&object.shape) && object.is_sewn())
        .map(|object| {
            let stitches = object.each_stitch().skip(1);
            let breaks = stitches
                .filter(|stitch| stitch.kind != StitchKind::Needle)
                .count();
            (object.id.as_str(), breaks)
        })
        .collect()
}
