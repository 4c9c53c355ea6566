//! What lies beneath objects that are sewn later.

use hoopwright_sdk::geometry::geo::{BoundingRect, Contains, Intersects, MultiPolygon, Rect};
use hoopwright_sdk::geometry::{measure, offset};
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// How far from a region's edge a thread must lie to be hidden, in mm: about half the width of
/// the thread, and a little for the cloth's give.
const EDGE: f64 = 0.3;

/// A way is looked at in steps of this length, in mm.
const STEP: f64 = 0.5;

/// The regions that hide what is sewn before them.
pub(crate) struct Covers<'a> {
    /// One an object; nothing for an object that hides nothing.
    regions: Vec<Option<Cover<'a>>>,
}

struct Cover<'a> {
    region: &'a Region,
    bounds: Rect<f64>,
    inside: OnceCell<MultiPolygon<f64>>,
}

impl<'a> Covers<'a> {
    /// The regions among `objects` that have cover stitches.
    pub fn of(objects: &'a [Object]) -> Self {
        let regions = objects.iter().map(|object| {
            let Shape::Region(region) = &object.shape else {
                return None;
            };
            let covered = object.stitches.iter().any(|block| {
                block.kind == StitchKind::Needle
                    && block.role == StitchRole::Cover
                    && !block.x.is_empty()
            });
            let bounds = region.to_multi_polygon().bounding_rect();
            bounds.filter(|_| covered).map(|bounds| Cover {
                region,
                bounds,
                inside: OnceCell::new(),
            })
        });
        Self {
            regions: regions.collect(),
        }
    }

    /// Whether the straight way from `a` to `b` lies beneath the objects from the place
    /// `first_later` on. Its two ends, where other stitches lie, do not count.
    pub fn hide(&self, a: Coord<f64>, b: Coord<f64>, first_later: usize) -> bool {
        let length = measure::distance(a, b);
        if !length.is_finite() {
            return false;
        }
        let way = Rect::new(a, b);
        let near: Vec<&Cover> = self
            .regions
            .iter()
            .skip(first_later)
            .flatten()
            .filter(|cover| cover.bounds.intersects(&way))
            .collect();
        let steps = (length / STEP).ceil() as usize;
        !near.is_empty()
            && (1..steps).all(|step| {
                let place = a + (b - a) * (step as f64 / steps as f64);
                near.iter().any(|cover| cover.hides(place))
            })
    }
}

impl Cover<'_> {
    fn hides(&self, place: Coord<f64>) -> bool {
        self.bounds.contains(&place)
            && self
                .inside
                .get_or_init(|| offset::grow(&self.region.to_multi_polygon(), -EDGE))
                .contains(&place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn sewn_box(x: f64, width: f64) -> Object {
        let area =
            polygon![(x: x, y: 0.), (x: x + width, y: 0.), (x: x + width, y: 10.), (x: x, y: 10.)];
        let mut object = Object::of_region("box", &area.into());
        let mut stitches = StitchList::new();
        stitches.needle(StitchRole::Cover, Coord { x, y: 0. });
        object.stitches = stitches.into_blocks();
        object
    }

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn only_later_cover_hides() {
        let objects = [sewn_box(0., 20.), sewn_box(0., 20.)];
        let covers = Covers::of(&objects);
        assert!(covers.hide(at(1., 5.), at(19., 5.), 0));
        assert!(covers.hide(at(1., 5.), at(19., 5.), 1));
        assert!(!covers.hide(at(1., 5.), at(19., 5.), 2));
    }

    #[test]
    fn a_gap_between_two_covers_shows() {
        let (near, far) = (sewn_box(0., 10.), sewn_box(11.5, 10.));
        let bridge = sewn_box(9., 4.);
        assert!(!Covers::of(&[near.clone(), far.clone()]).hide(at(1., 5.), at(20., 5.), 0));
        assert!(Covers::of(&[near, far, bridge]).hide(at(1., 5.), at(20., 5.), 0));
    }

    #[test]
    fn a_region_without_cover_stitches_or_along_its_edge_hides_nothing() {
        let mut bare = sewn_box(0., 20.);
        assert!(!Covers::of(std::slice::from_ref(&bare)).hide(at(1., 0.1), at(19., 0.1), 0));
        bare.stitches.clear();
        assert!(!Covers::of(&[bare]).hide(at(1., 5.), at(19., 5.), 0));
    }
}
