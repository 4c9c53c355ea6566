//! The way of the thread through the whole design, and the parts of it that are not sewn.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Of two stitches in a row that are stored as jumps, the longer is no more than so many times as long as
/// the other: what a column changes in width from one stitch to the next is far less.
const ABOUT_AS_LONG: f64 = 1.25;

/// An object's stitches as this step works on them: without what it put earlier.
#[derive(Clone, Debug)]
pub(crate) struct Sewn<'a> {
    pub object: &'a Object,
    pub selected: bool,
    pub stitches: Vec<Stitch>,
}

impl Sewn<'_> {
    /// The needle point that is sewn on to from the one at `place`.
    fn next_sewn(&self, place: usize) -> Option<usize> {
        let next = self.next_needle(place)?;
        self.is_sewn(place, next).then_some(next)
    }

    /// The needle point that was sewn on from to the one at `place`.
    fn last_sewn(&self, place: usize) -> Option<usize> {
        let last = self.last_needle(place)?;
        self.is_sewn(last, place).then_some(last)
    }

    /// Whether the way from a needle point to the next is one stitch.
    ///
    /// A machine file holds no stitch longer than 12.1 mm: a longer one is stored as jumps with a stitch at
    /// the end, and some files store shorter ones so, too. Travel leads from one run of sewing to another;
    /// such a stitch is followed, or preceded, by another about as long.
    fn is_sewn(&self, from: usize, to: usize) -> bool {
        let of_stitches_alone = matches!(self.object.shape, Shape::Manual);
        if to == from + 1 || !of_stitches_alone || self.next_needle(from) != Some(to) {
            return to == from + 1;
        }
        let length = self.between(from, to);
        let before = self.last_needle(from).filter(|last| last + 1 < from);
        let after = self.next_needle(to).filter(|&next| next > to + 1);
        let beside = [
            before.map(|last| self.between(last, from)),
            after.map(|next| self.between(to, next)),
        ];
        let mut beside = beside.into_iter().flatten();
        beside.any(|other| length <= ABOUT_AS_LONG * other && other <= ABOUT_AS_LONG * length)
    }

    /// How far it is from one stitch to another, in mm.
    fn between(&self, from: usize, to: usize) -> f64 {
        distance(self.stitches[from].at, self.stitches[to].at)
    }

    /// The next needle point after `place`, where nothing but jumps lies between.
    fn next_needle(&self, place: usize) -> Option<usize> {
        let mut after = self.stitches.iter().enumerate().skip(place + 1);
        let (next, stitch) = after.find(|(_, stitch)| stitch.kind != StitchKind::Jump)?;
        (stitch.kind == StitchKind::Needle).then_some(next)
    }

    /// The last needle point before `place`, where nothing but jumps lies between.
    fn last_needle(&self, place: usize) -> Option<usize> {
        let before = self.stitches.get(..place)?;
        let last = before.iter().rposition(|s| s.kind != StitchKind::Jump)?;
        (before[last].kind == StitchKind::Needle).then_some(last)
    }
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
    for (object, of) in sewn.iter().enumerate() {
        for (stitch, &Stitch { at, kind, .. }) in of.stitches.iter().enumerate() {
            if kind != StitchKind::Needle {
                continue;
            }
            let needle = Needle { object, stitch, at };
            let goes_on = |last: Needle| last.object == object && of.is_sewn(last.stitch, stitch);
            if !last.is_some_and(goes_on) {
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
    stretch(sewn, needle, Sewn::next_sewn)
}

/// The needle points that were sewn up to `needle` without a gap, backwards, `needle` first.
pub(crate) fn sewn_back(sewn: &[Sewn], needle: Needle) -> Vec<Coord<f64>> {
    stretch(sewn, needle, Sewn::last_sewn)
}

fn stretch<'a>(
    sewn: &[Sewn<'a>],
    needle: Needle,
    step: impl Fn(&Sewn<'a>, usize) -> Option<usize>,
) -> Vec<Coord<f64>> {
    let Some(sewn) = sewn.get(needle.object) else {
        return Vec::new();
    };
    std::iter::successors(Some(needle.stitch), |&place| step(sewn, place))
        .filter_map(|place| Some(sewn.stitches.get(place)?.at))
        .collect()
}
