//! Short lines that snapping both ends would press into a dot, or flat onto the line they stand on.

use crate::meeting::LONG;
use crate::path::{Path, SAME_PLACE, Side};
use crate::target::{Owner, Targets};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// A line is pressed flat where less than this share is left of how far it stood off another.
const LEFT: f64 = 0.5;

/// The end of the line `number` that has to be let go, which is the one that was moved farther, where
/// both were moved to one place, or onto one of `targets` so that little of the line stands off it.
/// Nothing where both may stay as they are, as in every line longer than [`LONG`] times the reach.
pub(crate) fn end_to_let_go(
    number: usize,
    paths: &[Path],
    targets: Option<&Targets>,
    reach: f64,
) -> Option<Side> {
    let path = &paths[number];
    let [from, to] = Side::BOTH.map(|side| path.moved(side));
    let drawn_as_ring = distance(path.end(Side::Start), path.end(Side::Finish)) < SAME_PLACE;
    if path.length() > LONG * reach || from.max(to) < SAME_PLACE || drawn_as_ring {
        return None;
    }
    let ends = Side::BOTH.map(|side| path.end_now(side));
    let pressed = distance(ends[0], ends[1]) < SAME_PLACE
        || targets.is_some_and(|targets| is_flat(number, path, ends, targets));
    pressed.then_some(if to < from { Side::Start } else { Side::Finish })
}

fn is_flat(number: usize, path: &Path, ends: [Coord<f64>; 2], targets: &Targets) -> bool {
    let [from, to] = ends.map(|end| targets.near(end, SAME_PLACE));
    from.iter().map(|piece| piece.data).any(|line| {
        let itself = matches!(line, Owner::Path(owner, _) if owner == number);
        let mut to = to.iter();
        !itself
            && to.any(|piece| piece.data.is_one_line_with(line))
            && stands_off(path.now(), line, targets)
                < LEFT * stands_off(path.drawn(), line, targets)
    })
}

/// How far a line stands off another at most, at its corners and halfway between them, in mm.
fn stands_off(corners: &[Coord<f64>], line: Owner, targets: &Targets) -> f64 {
    let halfway = corners.windows(2).map(|step| (step[0] + step[1]) / 2.0);
    let places = corners.iter().copied().chain(halfway);
    let away = places.filter_map(|place| Some(distance(place, targets.nearest_of(line, place)?)));
    away.fold(0.0, f64::max)
}
