//! What of a lower object can be seen.

use crate::spikes::without_spikes;
use crate::upper::Upper;
use hoopwright_sdk::geometry::area::{difference, intersection};
use hoopwright_sdk::geometry::geo::{
    Area, BoundingRect, Coord, Intersects, MultiPolygon, Polygon, Rect,
};
use hoopwright_sdk::geometry::offset::{grow, thinned};

/// Areas below this, in mm², are noise of the arithmetic.
pub(crate) const NOISE: f64 = 1e-4;

/// Narrow parts that are smaller than this, in mm², and no longer than [`CORNER_LENGTH`] are corners.
const CORNER: f64 = 0.02;

/// In mm.
const CORNER_LENGTH: f64 = 1.0;

/// Edges reckoned with may stray so far from the drawn ones, in mm: a seventh of the machine's own
/// step. What shows itself is never reckoned so.
pub(crate) const STRAY: f64 = 0.015;

/// What of an area no upper object hides.
pub(crate) struct Shown {
    /// All of it, to the last hair.
    pub all: MultiPolygon<f64>,
    /// Without hairs along an upper object's edge that no thread could show.
    pub worth: MultiPolygon<f64>,
    /// The parts of it that are so thin that they must be widened.
    pub thin: MultiPolygon<f64>,
    /// Whether there are hairs.
    pub has_hairs: bool,
}

impl Shown {
    /// What `shows` beside `uppers`, seen by what it is worth. Hairs narrower than `hair` mm are not worth a
    /// stitch; parts narrower than `thin` mm are too thin.
    pub fn of(shows: MultiPolygon<f64>, uppers: &[&Upper], hair: f64, thin: f64) -> Self {
        let all = without_spikes(shows);
        // What is wide enough for one is so for both: most areas are looked at once.
        let narrow = narrower(&all, hair.max(thin), hair);
        let lost = hairs(&narrow, uppers, hair);
        if lost.0.is_empty() {
            return Self {
                worth: all.clone(),
                thin: narrow,
                all,
                has_hairs: false,
            };
        }
        Self {
            worth: difference(&all, &grow(&lost, STRAY)),
            thin: difference(&narrow, &lost),
            all,
            has_hairs: true,
        }
    }
}

impl Shown {
    /// Without separate parts smaller than `least` mm²: many of them lie along an upper object's
    /// edge where both were traced along one line.
    pub fn without_specks(mut self, least: f64) -> Self {
        let parts = self.worth.0.len();
        self.worth.0.retain(|part| part.unsigned_area() >= least);
        self.has_hairs |= self.worth.0.len() < parts;
        self
    }
}

/// The parts of `area` narrower than `width` mm. What lies within `reach` mm of a wide part counts
/// as a part of it, so that corners do.
pub(crate) fn narrower(area: &MultiPolygon<f64>, width: f64, reach: f64) -> MultiPolygon<f64> {
    let rough = thinned(area.clone(), STRAY);
    let core = grow(&rough, -width / 2.0);
    let wide = grow(&core, width / 2.0 + reach);
    let is_corner = |part: &Polygon<f64>| {
        let long = part.bounding_rect();
        let long = long.map_or(0.0, |bounds| bounds.width().max(bounds.height()));
        part.unsigned_area() <= CORNER && long <= CORNER_LENGTH
    };
    let narrow = difference(area, &wide).into_iter();
    narrow.filter(|part| !is_corner(part)).collect()
}

/// The areas of `uppers`, not merged: the engine takes areas that overlap.
pub(crate) fn together<'a>(uppers: impl Iterator<Item = &'a Upper>) -> MultiPolygon<f64> {
    let polygons = uppers.flat_map(|upper| upper.area.iter().cloned());
    polygons.collect()
}

/// What of the `narrow` parts is narrower than `width` and lies that near to one of `uppers`. Thin
/// points that the artwork draws out in the open are no hairs, nor are sharp corners.
fn hairs(narrow: &MultiPolygon<f64>, uppers: &[&Upper], width: f64) -> MultiPolygon<f64> {
    let thin = narrower(narrow, width, width).into_iter();
    let beside = thin.flat_map(|part| {
        let part = MultiPolygon::from(part);
        let Some(bounds) = part.bounding_rect() else {
            return part;
        };
        let room = Coord {
            x: 2.0 * width,
            y: 2.0 * width,
        };
        let around = Rect::new(bounds.min() - room, bounds.max() + room);
        let near = uppers
            .iter()
            .filter(|upper| upper.bounds.intersects(&around));
        let near = together(near.copied());
        // Only what of the uppers lies around the part need grow.
        let near = intersection(&near, &around.to_polygon().into());
        intersection(&part, &grow(&thinned(near, STRAY), width))
    });
    beside.collect()
}
