//! The way of the thread through the whole design, and the parts of it that are not sewn.

use hoopwright_sdk::prelude::*;
use std::ops::Range;

/// An object's stitches as this step works on them: without ties and trims put earlier.
#[derive(Clone, Debug)]
pub(crate) struct Sewn<'a> {
    pub object: &'a Object,
    pub selected: bool,
    pub stitches: Vec<Stitch>,
}

/// One needle point, by the places of its object and of its stitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Needle {
    pub object: usize,
    pub stitch: usize,
    pub at: Coord<f64>,
}

/// A way between two needle points that is not sewn, or the open end before the first or after
/// the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gap {
    pub after: Option<Needle>,
    pub before: Option<Needle>,
}

impl Gap {
    /// The kinds of the stitches that lie in the gap.
    pub fn loose<'a>(&self, sewn: &'a [Sewn<'a>]) -> impl Iterator<Item = StitchKind> + use<'a> {
        let from = self.after.map_or((0, 0), |n| (n.object, n.stitch + 1));
        let to = self
            .before
            .map_or((sewn.len(), 0), |needle| (needle.object, needle.stitch));
        sewn.iter()
            .enumerate()
            .take((to.0 + 1).min(sewn.len()))
            .skip(from.0)
            .flat_map(move |(object, sewn)| {
                let start = if object == from.0 { from.1 } else { 0 };
                let end = if object == to.0 {
                    to.1
                } else {
                    sewn.stitches.len()
                };
                sewn.stitches.get(start..end).unwrap_or_default()
            })
            .map(|stitch| stitch.kind)
    }
}

/// All gaps in sewing order, with the open ends first and last. Between two of them all is sewn
/// within one object. None at all where the design has no needle point.
pub(crate) fn gaps(sewn: &[Sewn]) -> Vec<Gap> {
    let mut gaps = Vec::new();
    let mut last: Option<Needle> = None;
    for (object, sewn) in sewn.iter().enumerate() {
        for (stitch, &Stitch { at, kind, .. }) in sewn.stitches.iter().enumerate() {
            if kind != StitchKind::Needle {
                continue;
            }
            let needle = Needle { object, stitch, at };
            if !last.is_some_and(|l| l.object == object && l.stitch + 1 == stitch) {
                gaps.push(Gap {
                    after: last,
                    before: Some(needle),
                });
            }
            last = Some(needle);
        }
    }
    if last.is_some() {
        gaps.push(Gap {
            after: last,
            before: None,
        });
    }
    gaps
}

/// The needle points that are sewn on from `needle` without a gap, `needle` first.
pub(crate) fn sewn_on(sewn: &[Sewn], needle: Needle) -> Vec<Coord<f64>> {
    stretch(sewn, needle, |stitches| needle.stitch..stitches)
        .take_while(|stitch| stitch.kind == StitchKind::Needle)
        .map(|stitch| stitch.at)
        .collect()
}

/// The needle points that were sewn up to `needle` without a gap, backwards, `needle` first.
pub(crate) fn sewn_back(sewn: &[Sewn], needle: Needle) -> Vec<Coord<f64>> {
    stretch(sewn, needle, |_| 0..needle.stitch + 1)
        .rev()
        .take_while(|stitch| stitch.kind == StitchKind::Needle)
        .map(|stitch| stitch.at)
        .collect()
}

fn stretch<'a>(
    sewn: &'a [Sewn],
    needle: Needle,
    range: impl FnOnce(usize) -> Range<usize>,
) -> std::slice::Iter<'a, Stitch> {
    sewn.get(needle.object)
        .and_then(|sewn| sewn.stitches.get(range(sewn.stitches.len())))
        .unwrap_or_default()
        .iter()
}
