//! The end of a column: from the last pair of feet on the axis to the true edge of the region.

use crate::column::Rung;
use crate::rails::RUNG_STEP;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Places that reach within this share of the column's width of the farthest one lie on the end's
/// own edge, which need not be quite square to the column.
const END_DEPTH: f64 = 0.03;

/// Rungs that carry on a column to its tip.
///
/// `edge` is the edge of the region from the column's right side around the tip to its left side,
/// and `outward` the direction of the column, of length 1. Rungs stay square to `outward`: each
/// joins the two places of the edge that lie equally far out. Where the edge turns back on
/// itself, the rungs pass over the bay.
pub fn cap(edge: &[Coord<f64>], outward: Coord<f64>) -> Vec<Rung> {
    let (Some(&origin), Some(&opposite)) = (edge.first(), edge.last()) else {
        return Vec::new();
    };
    let out =
        |place: &Coord<f64>| (place.x - origin.x) * outward.x + (place.y - origin.y) * outward.y;
    let farthest = edge.iter().map(out).fold(f64::NEG_INFINITY, f64::max);
    let depth = (END_DEPTH * distance(origin, opposite)).max(0.01);
    let at_end = |place: &Coord<f64>| out(place) >= farthest - depth;
    let (Some(right_end), Some(left_end)) =
        (edge.iter().position(at_end), edge.iter().rposition(at_end))
    else {
        return Vec::new();
    };
    let right = Side::new(edge[..=right_end].iter().map(|&place| (out(&place), place)));
    let left = Side::new(
        edge[left_end..]
            .iter()
            .rev()
            .map(|&place| (out(&place), place)),
    );
    let (Some(right), Some(left)) = (right, left) else {
        return Vec::new();
    };
    let mut levels: Vec<f64> = right.levels().chain(left.levels()).collect();
    levels.sort_by(f64::total_cmp);
    let mut rungs = Vec::new();
    let mut last = levels[0];
    for level in levels {
        let steps = ((level - last) / RUNG_STEP).ceil().clamp(1.0, 1e4);
        for step in 1..=steps as usize {
            let here = last + (level - last) * step as f64 / steps;
            rungs.push(Rung::new(left.at(here), right.at(here)));
        }
        last = level;
    }
    rungs
}

/// One side of a cap: places that lie farther and farther out.
struct Side(Vec<(f64, Coord<f64>)>);

impl Side {
    fn new(places: impl Iterator<Item = (f64, Coord<f64>)>) -> Option<Self> {
        let mut rising: Vec<(f64, Coord<f64>)> = Vec::new();
        for (out, place) in places {
            if rising.last().is_none_or(|last| out > last.0) {
                rising.push((out, place));
            }
        }
        (!rising.is_empty()).then_some(Self(rising))
    }

    fn levels(&self) -> impl Iterator<Item = f64> {
        self.0.iter().map(|place| place.0)
    }

    fn at(&self, out: f64) -> Coord<f64> {
        let next = self.0.partition_point(|place| place.0 < out);
        if next == 0 {
            return self.0[0].1;
        }
        let Some(&(above, there)) = self.0.get(next) else {
            return self.0[next - 1].1;
        };
        let (below, here) = self.0[next - 1];
        here + (there - here) * ((out - below) / (above - below))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_square_end_keeps_square_rungs_up_to_its_corners() {
        let edge = [c(0., 0.), c(3., 0.), c(3., 4.), c(0., 4.)];
        let rungs = cap(&edge, c(1., 0.));
        for rung in &rungs {
            assert!((rung.left.x - rung.right.x).abs() < 1e-9);
            assert!((rung.width() - 4.0).abs() < 1e-9);
        }
        assert!((rungs[rungs.len() - 1].left.x - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_slanting_end_is_filled_into_its_far_corner() {
        let edge = [c(0., 0.), c(5., 0.), c(2., 4.), c(0., 4.)];
        let rungs = cap(&edge, c(1., 0.));
        let last = rungs[rungs.len() - 1];
        assert!((last.right.x - 5.0).abs() < 0.15 && last.width() < 0.2);
    }

    #[test]
    fn nothing_gives_nothing() {
        assert!(cap(&[], c(1., 0.)).is_empty());
    }
}
