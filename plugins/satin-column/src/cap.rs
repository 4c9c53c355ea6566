//! The end of a column: from the last pair of feet on the axis to the true edge of the region.

use crate::column::Rung;
use crate::rails::{RUNG_STEP, Rails};
use hoopwright_sdk::geometry::measure::{distance, to_edge};
use hoopwright_sdk::prelude::*;

/// Places that reach within this share of the column's width of the farthest one lie on the end's
/// own edge, which need not be quite square to the column.
const END_DEPTH: f64 = 0.03;

/// A lobe counts as lying behind the column's end where it goes back by more than this, in mm.
const LOBE: f64 = 0.2;

/// An end between two corners is straight where it strays less than this from the way between them,
/// as a share of the column's width.
const STRAIGHT: f64 = 0.03;
/// A straight end that leans by less than this many degrees is met evenly: rungs turn until the
/// last one lies on it. One that leans more is run out into its far corner.
const LEANING: f64 = 25.0;
/// The edge turns by at least this many degrees at the corners of an end.
const END_CORNER: f64 = 50.0;

/// The end of a column.
#[derive(Debug, Default)]
pub struct Cap {
    /// Rungs that swing over lobes which lie behind the last pair of feet.
    pub swing: Vec<Rung>,
    /// Rungs that carry on the column to its tip, square to its direction.
    pub rungs: Vec<Rung>,
}

/// Carries on a column to its tip.
///
/// `edge` is the edge of the region from the column's right side around the tip to its left side,
/// and `outward` the direction of the column, of length 1. Rungs stay square to `outward`: each
/// joins the two places of the edge that lie equally far out. Up to a straight end that hardly leans
/// they turn evenly instead. Where the edge turns back on
/// itself, the rungs pass over the bay; where it goes back behind its own start, they first swing
/// over what lies there.
pub fn cap(edge: &[Coord<f64>], outward: Coord<f64>) -> Cap {
    let (Some(&origin), Some(&opposite)) = (edge.first(), edge.last()) else {
        return Cap::default();
    };
    if let Some((first, last)) = straight_end(edge, outward) {
        let mut even = Rails::default();
        let left: Vec<Coord<f64>> = edge[last..].iter().rev().copied().collect();
        even.advance(left, edge[..=first].to_vec());
        return Cap {
            swing: Vec::new(),
            rungs: even.into_rungs(),
        };
    }
    let out =
        |place: &Coord<f64>| (place.x - origin.x) * outward.x + (place.y - origin.y) * outward.y;
    let farthest = edge.iter().map(out).fold(f64::NEG_INFINITY, f64::max);
    let depth = (END_DEPTH * distance(origin, opposite)).max(0.01);
    let at_end = |place: &Coord<f64>| out(place) >= farthest - depth;
    let (Some(right_end), Some(left_end)) =
        (edge.iter().position(at_end), edge.iter().rposition(at_end))
    else {
        return Cap::default();
    };
    let right_line: Vec<(f64, Coord<f64>)> =
        edge[..=right_end].iter().map(|p| (out(p), *p)).collect();
    let left_line: Vec<(f64, Coord<f64>)> = edge[left_end..]
        .iter()
        .rev()
        .map(|p| (out(p), *p))
        .collect();
    let (right_lobe, left_lobe) = (behind(&right_line), behind(&left_line));
    let mut swing = Rails::default();
    swing.advance(vec![opposite], places(&right_line[..=right_lobe]));
    swing.advance(
        places(&left_line[..=left_lobe]),
        vec![right_line[right_lobe].1],
    );
    let right = Side::new(right_line[right_lobe..].iter().copied());
    let left = Side::new(left_line[left_lobe..].iter().copied());
    let swing = if right_lobe + left_lobe > 0 {
        swing.into_rungs()
    } else {
        Vec::new()
    };
    let (Some(right), Some(left)) = (right, left) else {
        return Cap {
            swing,
            rungs: Vec::new(),
        };
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
    Cap { swing, rungs }
}

/// The two corners between which the edge crosses the column in a straight end, nearly square to
/// it, if its sides lead straight on to them.
fn straight_end(edge: &[Coord<f64>], outward: Coord<f64>) -> Option<(usize, usize)> {
    let across = distance(*edge.first()?, *edge.last()?);
    let out = |p: Coord<f64>| p.x * outward.x + p.y * outward.y;
    let sharp = END_CORNER.to_radians().cos();
    let corners: Vec<usize> = (1..edge.len().saturating_sub(1))
        .filter(|&i| {
            let (a, b) = (edge[i] - edge[i - 1], edge[i + 1] - edge[i]);
            let lengths = distance(edge[i - 1], edge[i]) * distance(edge[i], edge[i + 1]);
            a.x * b.x + a.y * b.y < sharp * lengths
        })
        .collect();
    let [first, last] = corners[..] else {
        return None;
    };
    let ends = [edge[first], edge[last]];
    let length = distance(ends[0], ends[1]);
    let lean = (out(ends[1]) - out(ends[0])).abs() / length.max(1e-9);
    let straight = |p: &Coord<f64>| to_edge(*p, ends) < STRAIGHT * across;
    let leads_on = |side: &[Coord<f64>]| side.windows(2).all(|pair| out(pair[1]) > out(pair[0]));
    let other_side: Vec<Coord<f64>> = edge[last..].iter().rev().copied().collect();
    (length > 0.5 * across
        && lean < LEANING.to_radians().sin()
        && edge[first..=last].iter().all(straight)
        && leads_on(&edge[..=first])
        && leads_on(&other_side))
    .then_some((first, last))
}

/// The last place of a side that lies no farther out than its first, if the side goes back in
/// between.
fn behind(side: &[(f64, Coord<f64>)]) -> usize {
    let start = side[0].0;
    let last = side.iter().rposition(|place| place.0 <= start).unwrap_or(0);
    let goes_back = side[..=last].iter().any(|place| place.0 < start - LOBE);
    if goes_back { last } else { 0 }
}

fn places(side: &[(f64, Coord<f64>)]) -> Vec<Coord<f64>> {
    side.iter().map(|place| place.1).collect()
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
        let rungs = cap(&edge, c(1., 0.)).rungs;
        for rung in &rungs {
            assert!((rung.left.x - rung.right.x).abs() < 1e-9);
            assert!((rung.width() - 4.0).abs() < 1e-9);
        }
        assert!((rungs[rungs.len() - 1].left.x - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_slanting_end_is_filled_into_its_far_corner() {
        let edge = [c(0., 0.), c(5., 0.), c(2., 4.), c(0., 4.)];
        let rungs = cap(&edge, c(1., 0.)).rungs;
        let last = rungs[rungs.len() - 1];
        assert!((last.right.x - 5.0).abs() < 0.15 && last.width() < 0.2);
    }

    #[test]
    fn rungs_turn_evenly_to_an_end_that_leans_a_little() {
        let edge = [c(0., 0.), c(3., 0.), c(2., 4.), c(0., 4.)];
        let rungs = cap(&edge, c(1., 0.)).rungs;
        let last = rungs[rungs.len() - 1];
        assert_eq!((last.right, last.left), (c(3., 0.), c(2., 4.)));
        let half = &rungs[rungs.len() / 2 - 1];
        assert!((half.right.x / half.left.x - 1.5).abs() < 1e-9);
    }

    #[test]
    fn nothing_gives_nothing() {
        assert!(cap(&[], c(1., 0.)).rungs.is_empty());
    }

    #[test]
    fn a_lobe_behind_the_end_is_swung_over() {
        let edge = [
            c(0., 0.),
            c(-3., -3.),
            c(-1., -5.),
            c(4., -2.),
            c(4., 3.),
            c(0., 4.),
        ];
        let cap = cap(&edge, c(1., 0.));
        assert!(
            cap.swing
                .iter()
                .any(|rung| distance(rung.right, c(-3., -3.)) < 0.2)
        );
        assert!(cap.swing.iter().all(|rung| rung.left == c(0., 4.)));
        assert!(cap.rungs.iter().all(|rung| rung.right.y < -1.9));
    }
}
