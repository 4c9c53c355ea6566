//! What of a lower object can be seen.

use crate::upper::Upper;
use hoopwright_sdk::geometry::area::{difference, intersection};
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, MultiPolygon, Rect};
use hoopwright_sdk::geometry::offset::grow;

/// Areas below this, in mm², are noise of the arithmetic.
pub(crate) const NOISE: f64 = 1e-4;

/// What of an area no upper object hides.
pub(crate) struct Shown {
    /// All of it, to the last hair.
    pub all: MultiPolygon<f64>,
    /// Without hairs along an upper object's edge that no thread could show.
    pub worth: MultiPolygon<f64>,
    /// Whether the two differ.
    pub has_hairs: bool,
}

impl Shown {
    /// What of `area` shows beside `uppers`, of which hairs narrower than `hair` mm are not worth
    /// a stitch.
    pub fn of(area: &MultiPolygon<f64>, uppers: &[&Upper], hair: f64) -> Self {
        let all = difference(area, &together(uppers.iter().copied()));
        let lost = hairs(&all, uppers, hair);
        if lost.0.is_empty() {
            return Self {
                worth: all.clone(),
                all,
                has_hairs: false,
            };
        }
        Self {
            worth: difference(&all, &lost),
            all,
            has_hairs: true,
        }
    }
}

/// The areas of `uppers`, not merged: the engine takes areas that overlap.
pub(crate) fn together<'a>(uppers: impl Iterator<Item = &'a Upper>) -> MultiPolygon<f64> {
    let polygons = uppers.flat_map(|upper| upper.area.iter().cloned());
    polygons.collect()
}

/// What of `all` is narrower than `width` and lies that near to one of `uppers`. Thin points that
/// the artwork draws out in the open are no hairs, nor are sharp corners.
fn hairs(all: &MultiPolygon<f64>, uppers: &[&Upper], width: f64) -> MultiPolygon<f64> {
    // Grown by a width more than it shrank, so that the corners come back whole.
    let thick = grow(&grow(all, -width / 2.0), 1.5 * width);
    let thin = difference(all, &thick);
    let Some(bounds) = thin
        .bounding_rect()
        .filter(|_| thin.unsigned_area() > NOISE)
    else {
        return MultiPolygon::new(Vec::new());
    };
    let near = uppers
        .iter()
        .filter(|upper| meet(&upper.bounds, &bounds, width));
    intersection(&thin, &grow(&together(near.copied()), width))
}

/// Whether two rectangles come within `reach` mm of each other.
fn meet(a: &Rect<f64>, b: &Rect<f64>, reach: f64) -> bool {
    let apart = |low: f64, high: f64| low > high + reach;
    !(apart(a.min().x, b.max().x)
        || apart(b.min().x, a.max().x)
        || apart(a.min().y, b.max().y)
        || apart(b.min().y, a.max().y))
}
