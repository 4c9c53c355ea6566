//! Which objects lie beside which.

use crate::TuckUnder;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::MultiPolygon;
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// The objects that hide what lies beneath them, as they were before the step.
pub(crate) struct Neighbours {
    /// By the object's place in the design.
    all: Vec<Option<Hiding>>,
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
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
        let places = all.iter().enumerate().filter_map(|(place, hiding)| {
            let bounds = hiding.as_ref()?.edges.bounds()?;
            let bounds = Rectangle::from_corners(bounds.min().into(), bounds.max().into());
            Some(GeomWithData::new(bounds, place))
        });
        let tree = RTree::bulk_load(places.collect());
        let gap = settings.gap;
        Self { all, tree, gap }
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
        let (least, greatest) = (bounds.min(), bounds.max());
        let around = AABB::from_corners(
            [least.x - self.gap, least.y - self.gap],
            [greatest.x + self.gap, greatest.y + self.gap],
        );
        let near = self.tree.locate_in_envelope_intersecting(around);
        let mut near: Vec<usize> = near.map(|it| it.data).filter(|&it| it > place).collect();
        near.sort_unstable();
        let near = near.into_iter().filter_map(|place| self.at(place));
        near.filter(|other| own.edges.meets(&other.edges, self.gap))
            .collect()
    }
}
