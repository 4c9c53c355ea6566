//! A region with what lies beneath its neighbours.

use crate::TuckUnder;
use crate::neighbours::{Hiding, Neighbours};
use hoopwright_sdk::Region;
use hoopwright_sdk::geometry::area::{difference, intersection, union};
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::measure::mean_width;
use hoopwright_sdk::geometry::offset::grow;
use hoopwright_sdk::piecework::Piecework;
use serde::{Deserialize, Serialize};

/// Strips narrower than this, in mm, are left out: half the machine's own step.
const LEAST_STRIP: f64 = 0.05;

/// What is joined overlaps so far, in mm: two areas reckoned apart differ along their common edge in the last
/// digit, which would leave a slit as fine as a hair, and satin runs along both sides of a slit. A twentieth
/// of the machine's own step.
const SEAM: f64 = 0.005;

/// So many neighbours around one corner are a crowd: where edges meet or cross, there are two or three.
const CROWD: usize = 4;

/// A region and all that is sewn after it and touches it: so much the work on it needs, so that it is given out.
#[derive(Serialize, Deserialize)]
pub struct Beside {
    own: Region,
    /// In sewing order.
    after: Vec<Region>,
}

impl Beside {
    /// The object at `place` among its neighbours, if it has any.
    pub(crate) fn of(place: usize, neighbours: &Neighbours) -> Option<Self> {
        let own = Region::from(&neighbours.at(place)?.area);
        let after = neighbours.sewn_after(place).into_iter();
        let after: Vec<Region> = after.map(|other| Region::from(&other.area)).collect();
        (!after.is_empty()).then_some(Self { own, after })
    }
}

impl Piecework for TuckUnder {
    type Piece = Beside;
    type Done = Option<Wider>;

    fn work(&self, beside: Beside) -> Option<Wider> {
        let after = beside.after.iter();
        let after: Vec<Hiding> = after.map(|it| Hiding::new(it.to_multi_polygon())).collect();
        wider(&beside.own.to_multi_polygon(), &after, self)
    }
}

/// A region that goes on beneath its neighbours.
#[derive(Serialize, Deserialize)]
pub struct Wider {
    pub area: Region,
    /// How much was added, in mm².
    pub by: f64,
}

/// `own` with all places within the underlap of what shows of it that lie beneath one of those sewn `after` it.
/// Nothing where there are none but at a corner.
fn wider(own: &MultiPolygon<f64>, after: &[Hiding], settings: &TuckUnder) -> Option<Wider> {
    // Not merged: the engine takes areas that overlap.
    let above: MultiPolygon<f64> = after
        .iter()
        .flat_map(|other| other.area.iter().cloned())
        .collect();
    // What lies beneath a neighbour already counts as underlap.
    let within = grow(&difference(own, &above), settings.underlap);
    let mut strips = difference(&intersection(&within, &above), own);
    let tips = where_tips_meet(own, after, settings.underlap);
    if !tips.0.is_empty() {
        strips = difference(&strips, &tips);
    }
    // Those beneath two neighbours that share an edge are one.
    let mut strips = union(&strips, &grow(&grow(&strips, SEAM), -SEAM));
    // Beneath one that it touches at a corner there is a quarter of a disc: nothing would open there.
    let corner = settings.underlap * settings.underlap;
    strips
        .0
        .retain(|strip| strip.unsigned_area() > corner && mean_width(strip) >= LEAST_STRIP);
    if strips.0.is_empty() {
        return None;
    }
    let seam = intersection(&grow(&strips, SEAM), &grow(own, SEAM));
    strips.0.extend(seam);
    let area = without_slits(union(own, &strips), settings.gap);
    let area = without_horns(area, own, settings.underlap);
    let by = area.unsigned_area() - own.unsigned_area();
    Some(Wider {
        area: Region::from(&area),
        by,
    })
}

/// Where neighbours narrower than twice the underlap lie side by side and their tips meet, as those of rays do
/// around a middle: each would go on beneath all that come after it, and the needle stitch through a heap.
fn where_tips_meet(own: &MultiPolygon<f64>, after: &[Hiding], underlap: f64) -> MultiPolygon<f64> {
    let (mut seen, mut twice) = (MultiPolygon::new(Vec::new()), MultiPolygon::new(Vec::new()));
    let width = 2.0 * underlap;
    let crowd = crowding(own, after, underlap).into_iter();
    let tips = crowd.map(|other| other.narrower_than(width));
    for tips in tips.filter(|tips| !tips.0.is_empty()) {
        let around = grow(tips, 2.0 * width);
        twice = union(&twice, &intersection(&seen, &around));
        seen = union(&seen, &around);
    }
    twice
}

/// Those of `after` that crowd around a corner of `own`, no farther than the underlap from it.
fn crowding<'a>(own: &MultiPolygon<f64>, after: &'a [Hiding], underlap: f64) -> Vec<&'a Hiding> {
    let mut crowds = vec![false; after.len()];
    if after.len() < CROWD {
        return Vec::new();
    }
    let rings = own
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
    for &corner in rings.flat_map(|ring| &ring.0) {
        let near = (0..after.len()).filter(|&i| after[i].lies_within(underlap, corner));
        let near: Vec<usize> = near.collect();
        if near.len() >= CROWD {
            near.into_iter().for_each(|i| crowds[i] = true);
        }
    }
    let crowd = after.iter().zip(crowds);
    crowd
        .filter(|(_, crowds)| *crowds)
        .map(|(it, _)| it)
        .collect()
}

/// The area with what of it is a slit no wider than `gap` mm closed.
fn without_slits(area: MultiPolygon<f64>, gap: f64) -> MultiPolygon<f64> {
    if gap == 0.0 {
        return area;
    }
    let half = gap / 2.0 + SEAM;
    let closed = grow(&grow(&area, half), -half);
    // Without the films that reckoning with arcs leaves along edges.
    let slits = grow(&difference(&closed, &area), -SEAM);
    if slits.0.is_empty() {
        return area;
    }
    union(&area, &grow(&slits, 2.0 * SEAM))
}

/// The area without what sticks out beyond `own` and is narrower than `width` mm: around a corner a strip goes on
/// beneath what lies beyond a third region, which satin would run into.
fn without_horns(
    area: MultiPolygon<f64>,
    own: &MultiPolygon<f64>,
    width: f64,
) -> MultiPolygon<f64> {
    let half = width / 2.0 - SEAM;
    // A strip as wide as the underlap stays, even by itself.
    let opened = grow(&grow(&area, -half), half);
    let added = difference(&area, own);
    let mut horns = grow(&difference(&added, &opened), -SEAM);
    horns.0.retain(|horn| horn.unsigned_area() > half * half);
    if horns.0.is_empty() {
        return area;
    }
    let horns = difference(&grow(&horns, 2.0 * SEAM), own);
    let mut area = difference(&area, &horns);
    // What hung on a horn goes with it.
    let hangs_together =
        |part: &Polygon<f64>| !intersection(&part.clone().into(), own).0.is_empty();
    area.0.retain(hangs_together);
    area
}
