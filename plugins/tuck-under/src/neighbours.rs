//! Which objects lie beside which.

use crate::TuckUnder;
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{MultiPolygon, Rect};
use hoopwright_sdk::geometry::measure::between_rects;
use hoopwright_sdk::geometry::offset::grow;
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// The objects that hide what lies beneath them, as they were before the step.
pub(crate) struct Neighbours {
    /// By the object's place in the design.
    all: Vec<Option<Hiding>>,
    boxes: Boxes,
    /// How near is touching, in mm.
    gap: f64,
}

/// An object that hides what lies beneath it.
pub(crate) struct Hiding {
    /// Where it does, cleaned.
    pub area: MultiPolygon<f64>,
    edges: EdgeGrid,
    narrow: OnceCell<MultiPolygon<f64>>,
}

impl Neighbours {
    pub fn of(objects: &[Object], settings: &TuckUnder) -> Self {
        let all: Vec<Option<Hiding>> = objects
            .iter()
            .map(|object| {
                if object.has_one_of(&settings.leave_out) {
                    return None;
                }
                hiding::area_to_hide(object, hiding::USUAL_LINE).map(Hiding::new)
            })
            .collect();
        let bounds = all.iter().map(|hiding| hiding.as_ref()?.edges.bounds());
        let boxes = Boxes::new(bounds.enumerate());
        let gap = settings.gap;
        Self { all, boxes, gap }
    }

    /// What the object at `place` hides, unless it is left out.
    pub fn at(&self, place: usize) -> Option<&Hiding> {
        self.all.get(place)?.as_ref()
    }

    /// Those sewn after the object at `place` that touch it or lie on it, in sewing order.
    pub fn sewn_after(&self, place: usize) -> Vec<&Hiding> {
        let Some((own, bounds)) = self
            .at(place)
            .and_then(|own| Some((own, own.edges.bounds()?)))
        else {
            return Vec::new();
        };
        let near = self.boxes.near(bounds, self.gap).into_iter();
        let later = near.filter(|&near| near > place);
        let later = later.filter_map(|place| self.at(place));
        later
            .filter(|other| own.edges.meets(&other.edges, self.gap))
            .collect()
    }
}

impl Hiding {
    /// What hides beneath a clean area.
    pub fn new(area: MultiPolygon<f64>) -> Self {
        Self {
            edges: EdgeGrid::new(&area),
            area,
            narrow: OnceCell::new(),
        }
    }

    /// Whether its edge lies no farther than `reach` mm from `place`.
    pub fn lies_within(&self, reach: f64, place: Coord<f64>) -> bool {
        let bounds = self.edges.bounds();
        bounds.is_some_and(|bounds| between_rects(&bounds, &Rect::new(place, place)) <= reach)
            && self.edges.edge_lies_within(place, reach)
    }

    /// Where it is narrower than `width` mm, always the same, but for what of a corner lies within a fourth
    /// of that of what is wider.
    pub fn narrower_than(&self, width: f64) -> &MultiPolygon<f64> {
        self.narrow.get_or_init(|| {
            let core = grow(&self.area, -width / 2.0);
            difference(&self.area, &grow(&core, 0.75 * width))
        })
    }
}
