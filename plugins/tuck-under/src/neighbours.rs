//! Which objects lie beside which.

use crate::TuckUnder;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::MultiPolygon;
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;

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
}

impl Neighbours {
    pub fn of(objects: &[Object], settings: &TuckUnder) -> Self {
        let all: Vec<Option<Hiding>> = objects
            .iter()
            .map(|object| {
                let hides = !object.has_one_of(&settings.leave_out) && hiding::will_hide(object);
                let area = hides.then(|| hiding::area(object)).flatten()?;
                let edges = EdgeGrid::new(&area);
                Some(Hiding { area, edges })
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
