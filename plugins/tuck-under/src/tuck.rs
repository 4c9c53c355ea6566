//! A region with what lies beneath its neighbours.

use crate::TuckUnder;
use crate::neighbours::Neighbours;
use hoopwright_sdk::geometry::area::{difference, intersection, union};
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon};
use hoopwright_sdk::geometry::measure::mean_width;
use hoopwright_sdk::geometry::offset::grow;

/// Strips narrower than this, in mm, are left out: half the machine's own step.
const LEAST_STRIP: f64 = 0.05;

/// A region that goes on beneath its neighbours.
pub(crate) struct Wider {
    pub area: MultiPolygon<f64>,
    /// How much was added, in mm².
    pub by: f64,
}

/// The object at `place` with all places within the underlap of what shows of it that lie beneath one that
/// is sewn later. Nothing where there are none but at a corner.
pub(crate) fn wider(place: usize, neighbours: &Neighbours, settings: &TuckUnder) -> Option<Wider> {
    let own = &neighbours.at(place)?.area;
    let after = neighbours.sewn_after(place);
    if after.is_empty() {
        return None;
    }
    // Not merged: the engine takes areas that overlap.
    let above: MultiPolygon<f64> = after
        .iter()
        .flat_map(|other| other.area.iter().cloned())
        .collect();
    // What lies beneath a neighbour already counts as underlap.
    let within = grow(&difference(own, &above), settings.underlap);
    let mut strips = difference(&intersection(&within, &above), own);
    // Beneath one that it touches at a corner there is a quarter of a disc: nothing would open there.
    let corner = settings.underlap * settings.underlap;
    strips
        .0
        .retain(|strip| strip.unsigned_area() > corner && mean_width(strip) >= LEAST_STRIP);
    if strips.0.is_empty() {
        return None;
    }
    let mut area = union(own, &strips);
    if area.0.len() > own.0.len() && settings.gap > 0.0 {
        let crack = intersection(&grow(&strips, settings.gap), &grow(own, settings.gap));
        area = union(&area, &crack);
    }
    let by = area.unsigned_area() - own.unsigned_area();
    Some(Wider { area, by })
}
