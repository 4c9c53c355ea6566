//! Where the steps moved the drawing: the similarity that takes the artwork's shapes to the sewn
//! design's.

use crate::design::{Design, Object, Polyline, Shape, bounds};
use geo::Coord;
use std::collections::{BTreeMap, BTreeSet};

/// A move, turn, scale and perhaps a flip of the whole drawing. With places as complex numbers,
/// z goes to `turn` z + `shift`, of z's mirror image where it is `flipped`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    turn: Coord<f64>,
    shift: Coord<f64>,
    flipped: bool,
}

impl Default for Placement {
    /// Where it was drawn.
    fn default() -> Self {
        Self {
            turn: Coord { x: 1.0, y: 0.0 },
            shift: Coord { x: 0.0, y: 0.0 },
            flipped: false,
        }
    }
}

/// How near a corner comes to where it should be, in mm, to count as moved with the others.
const NEAR: f64 = 0.02;
/// So many objects are tried, from the one with the most corners on.
const TRIED: usize = 24;
/// By right angles, each as it is and flipped.
const TURNS: [(Coord<f64>, bool); 8] = {
    const fn to(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }
    [
        (to(1.0, 0.0), false),
        (to(0.0, 1.0), false),
        (to(-1.0, 0.0), false),
        (to(0.0, -1.0), false),
        (to(1.0, 0.0), true),
        (to(0.0, 1.0), true),
        (to(-1.0, 0.0), true),
        (to(0.0, -1.0), true),
    ]
};
/// Corners of an object farther apart than this tell turn and scale, in mm.
const TELLING: f64 = 1.0;

impl Placement {
    /// The similarity that takes the corners of `before` to those of `after`, for at least half of
    /// all corners in objects that steps have left whole. Nothing where there is none.
    pub fn between(before: &Design, after: &Design) -> Option<Self> {
        let pairs = whole_objects(before, after);
        let count: usize = pairs.iter().map(Vec::len).sum();
        if count == 0 {
            // Stitches by hand, every object cut, or taken apart: no object tells of a move by itself.
            return Self::of_all_together(before, after);
        }
        let mut tried: Vec<&Vec<[Coord<f64>; 2]>> = pairs.iter().collect();
        tried.sort_by_key(|pairs| std::cmp::Reverse(pairs.len()));
        let all = || pairs.iter().flatten();
        let near = |placement: &Self| all().filter(|pair| placement.keeps(pair)).count();
        let candidates = tried.into_iter().take(TRIED).filter(|pairs| telling(pairs));
        let mut best: Option<(usize, Self)> = None;
        let fits = candidates.flat_map(|pairs| [false, true].map(|flip| Self::fit(pairs, flip)));
        for placement in std::iter::once(Some(Self::default())).chain(fits).flatten() {
            let kept = near(&placement);
            if best.is_none_or(|(most, _)| kept > most) {
                best = Some((kept, placement));
            }
        }
        let (kept, best) = best.filter(|(kept, _)| kept * 2 >= count)?;
        if best == Self::default() {
            return Some(best);
        }
        // Once more over all that moved together, which takes the rounding out.
        let together: Vec<_> = all().filter(|pair| best.keeps(pair)).copied().collect();
        let refined = Self::fit(&together, best.flipped);
        refined
            .filter(|refined| near(refined) >= kept)
            .or(Some(best))
    }

    /// Where the drawing was drawn, or where its bounds, perhaps turned by right angles or flipped, come to
    /// lie on those of `after`: if that leaves a fourth of its corners at corners. A cut takes corners away and
    /// adds others; a wrong place leaves none.
    fn of_all_together(before: &Design, after: &Design) -> Option<Self> {
        let drawn = corners(before);
        if drawn.is_empty() {
            let near = |a: Coord<f64>, b: Coord<f64>| (a - b).x.abs().max((a - b).y.abs()) <= NEAR;
            let unmoved = match (before.needle_bounds(), after.needle_bounds()) {
                (Some(a), Some(b)) => near(a.min(), b.min()) && near(a.max(), b.max()),
                _ => true,
            };
            return unmoved.then(Self::default);
        }
        let sewn = corners(after);
        let there = Squares::of(&sewn);
        let onto = |(turn, flipped)| Self::onto_bounds(&drawn, &sewn, turn, flipped);
        let candidates = std::iter::once(Self::default()).chain(TURNS.into_iter().filter_map(onto));
        let mut best: Option<(usize, Self)> = None;
        for placement in candidates {
            let at_corners = drawn.iter().filter(|&&c| there.are_near(placement.of(c)));
            let kept = at_corners.count();
            if best.is_none_or(|(most, _)| kept > most) {
                best = Some((kept, placement));
            }
        }
        let (kept, best) = best?;
        (kept * 4 >= drawn.len()).then_some(best)
    }

    /// The placement with this turn and flip that takes the bounds of `drawn` to those of `sewn`.
    fn onto_bounds(
        drawn: &[Coord<f64>],
        sewn: &[Coord<f64>],
        turn: Coord<f64>,
        flipped: bool,
    ) -> Option<Self> {
        let turned = drawn.iter().map(|&place| times(turn, flip(place, flipped)));
        let (from, to) = (bounds(turned)?, bounds(sewn.iter().copied())?);
        let scale = (to.width() + to.height()) / (from.width() + from.height());
        let sound = scale.is_finite() && scale > 0.0;
        sound.then(|| Self {
            turn: turn * scale,
            shift: to.min() - from.min() * scale,
            flipped,
        })
    }

    /// Where a place of the drawing is sewn.
    pub fn of(&self, place: Coord<f64>) -> Coord<f64> {
        times(self.turn, flip(place, self.flipped)) + self.shift
    }

    /// The place of the drawing that is sewn here.
    pub fn drawn_at(&self, place: Coord<f64>) -> Coord<f64> {
        let size = self.turn.x * self.turn.x + self.turn.y * self.turn.y;
        let back = Coord {
            x: self.turn.x / size,
            y: -self.turn.y / size,
        };
        flip(times(back, place - self.shift), self.flipped)
    }

    /// How many times as large the drawing is sewn.
    pub fn scale(&self) -> f64 {
        (self.turn.x * self.turn.x + self.turn.y * self.turn.y).sqrt()
    }

    /// As the six numbers of an affine map: x to x, x to y, y to x, y to y, and the shift.
    pub fn matrix(&self) -> [f64; 6] {
        let zero = self.of(Coord { x: 0.0, y: 0.0 });
        let x = self.of(Coord { x: 1.0, y: 0.0 }) - zero;
        let y = self.of(Coord { x: 0.0, y: 1.0 }) - zero;
        [x.x, x.y, y.x, y.y, zero.x, zero.y]
    }

    fn keeps(&self, [from, to]: &[Coord<f64>; 2]) -> bool {
        let off = self.of(*from) - *to;
        off.x.abs() <= NEAR && off.y.abs() <= NEAR
    }

    /// The similarity with the least squares of what remains between its pairs.
    fn fit(pairs: &[[Coord<f64>; 2]], flipped: bool) -> Option<Self> {
        let count = pairs.len() as f64;
        let zero = Coord { x: 0.0, y: 0.0 };
        let sum = |sum: Coord<f64>, place: Coord<f64>| sum + place;
        let from = pairs
            .iter()
            .map(|pair| flip(pair[0], flipped))
            .fold(zero, sum)
            / count;
        let to = pairs.iter().map(|pair| pair[1]).fold(zero, sum) / count;
        let (mut turn, mut size) = (zero, 0.0);
        for pair in pairs {
            let (a, b) = (flip(pair[0], flipped) - from, pair[1] - to);
            turn = turn + times(Coord { x: a.x, y: -a.y }, b);
            size += a.x * a.x + a.y * a.y;
        }
        let turn = turn / size;
        let sound = turn.x.is_finite() && turn.y.is_finite() && turn != zero;
        sound.then(|| Self {
            turn,
            shift: to - times(turn, from),
            flipped,
        })
    }
}

fn flip(place: Coord<f64>, flipped: bool) -> Coord<f64> {
    Coord {
        x: if flipped { -place.x } else { place.x },
        y: place.y,
    }
}

/// The product of two complex numbers.
fn times(a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    Coord {
        x: a.x * b.x - a.y * b.y,
        y: a.x * b.y + a.y * b.x,
    }
}

/// Whether the corners lie far enough apart.
fn telling(pairs: &[[Coord<f64>; 2]]) -> bool {
    let extent = bounds(pairs.iter().map(|pair| pair[0]));
    extent.is_some_and(|extent| extent.width().max(extent.height()) >= TELLING)
}

/// The corners, before and after, of each object that both designs have with the same outlines.
fn whole_objects(before: &Design, after: &Design) -> Vec<Vec<[Coord<f64>; 2]>> {
    let by_id: BTreeMap<&str, &Object> = after
        .objects
        .iter()
        .map(|object| (object.id.as_str(), object))
        .collect();
    let pair = |object: &Object| {
        let other = by_id.get(object.id.as_str())?;
        let (a, b) = (outlines(&object.shape), outlines(&other.shape));
        // What is left of a ring that was cut may have as many corners as the ring had.
        let alike =
            |(a, b): (&&Polyline, &&Polyline)| a.closed == b.closed && a.x.len() == b.x.len();
        let same = a.len() == b.len() && a.iter().zip(&b).all(alike);
        let corners = |lines: Vec<&Polyline>| -> Vec<Coord<f64>> {
            lines.into_iter().flat_map(Polyline::corners).collect()
        };
        (same && !a.is_empty()).then(|| {
            let pairs = corners(a).into_iter().zip(corners(b));
            pairs.map(|(a, b)| [a, b]).collect()
        })
    };
    before.objects.iter().filter_map(pair).collect()
}

fn outlines(shape: &Shape) -> Vec<&Polyline> {
    match shape {
        Shape::Region(region) => region
            .polygons
            .iter()
            .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes))
            .collect(),
        Shape::Lines(lines) => lines.paths.iter().collect(),
        Shape::Manual => Vec::new(),
    }
}

/// The outlines' corners.
fn corners(design: &Design) -> Vec<Coord<f64>> {
    let outlines = design
        .objects
        .iter()
        .flat_map(|object| outlines(&object.shape));
    outlines.flat_map(Polyline::corners).collect()
}

/// The squares of [`NEAR`] mm in which corners lie.
struct Squares(BTreeSet<[i64; 2]>);

impl Squares {
    fn of(corners: &[Coord<f64>]) -> Self {
        Self(corners.iter().map(square).collect())
    }

    /// Whether a corner lies at this place or in a square beside it.
    fn are_near(&self, place: Coord<f64>) -> bool {
        let [x, y] = square(&place);
        (-1..=1).any(|dx| (-1..=1).any(|dy| self.0.contains(&[x + dx, y + dy])))
    }
}

fn square(place: &Coord<f64>) -> [i64; 2] {
    [place.x, place.y].map(|mm| (mm / NEAR).round() as i64)
}
