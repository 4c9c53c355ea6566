//! The direction that the lines follow at each place of a region.

use crate::flow::blend::Blend;
use hoopwright_sdk::geometry::geo::Coord;

/// A direction and its opposite are the same: a field of undirected directions.
#[derive(Debug)]
pub enum Field {
    /// Away from a place.
    Rays(Coord<f64>),
    /// Blended between marks.
    Blend(Blend),
}

impl Field {
    /// The direction at a place, as a unit vector or its opposite; nothing where there is none.
    pub fn at(&self, place: Coord<f64>) -> Option<Coord<f64>> {
        match self {
            Self::Rays(centre) => unit(place - *centre),
            Self::Blend(blend) => blend.at(place),
        }
    }

    /// The direction at a place that agrees with `with`.
    pub fn along(&self, place: Coord<f64>, with: Coord<f64>) -> Option<Coord<f64>> {
        let direction = self.at(place)?;
        let agrees = direction.x * with.x + direction.y * with.y >= 0.0;
        Some(if agrees { direction } else { direction * -1.0 })
    }
}

/// A vector of length 1 that points the same way.
pub(super) fn unit(vector: Coord<f64>) -> Option<Coord<f64>> {
    let length = (vector.x * vector.x + vector.y * vector.y).sqrt();
    (length > 1e-9).then(|| vector / length)
}
