//! The objects that marks are for.

use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::geo::{
    Distance, Euclidean, Intersects, LineString, MultiPolygon, Point,
};

use hoopwright_sdk::prelude::*;

/// An object that marks can be for, with the area it takes up.
#[derive(Debug)]
pub struct Owner {
    place: usize,
    area: MultiPolygon<f64>,
}

impl Owner {
    /// The object at a place of the design, or nothing where it has no shape.
    pub fn of(place: usize, object: &Object) -> Option<Self> {
        let area = object.shape.area(THREAD_WIDTH);
        (!area.0.is_empty()).then_some(Self { place, area })
    }

    fn away(&self, at: Coord<f64>) -> f64 {
        Euclidean.distance(&Point(at), &self.area)
    }
}

/// The place of the topmost of `owners`, which are in sewing order, that lies under `at`; or else
/// of the nearest one no farther away than `near` mm.
pub fn under(owners: &[Owner], at: Coord<f64>, near: f64) -> Option<usize> {
    // Of those equally near, as all are that it lies on, `min_by` keeps the first: the topmost.
    let found = owners
        .iter()
        .rev()
        .map(|owner| (owner.place, owner.away(at)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    (found.1 <= near).then_some(found.0)
}

/// The places of all of `owners` that a line crosses.
pub fn crossed(owners: &[Owner], line: &LineString<f64>) -> Vec<usize> {
    let met = owners.iter().filter(|owner| owner.area.intersects(line));
    met.map(|owner| owner.place).collect()
}
