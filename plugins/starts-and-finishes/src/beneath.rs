//! How long a way is that keeps beneath what is sewn later: as `ties-and-trims` will lay it.

use hoopwright_sdk::geometry::geo::MultiPolygon;
use hoopwright_sdk::geometry::hidden_ways::HiddenWays;
use hoopwright_sdk::geometry::measure;
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// What hides among the objects of a design, made ready when it is first asked for.
pub(crate) struct Beneath<'a> {
    hides: &'a [Option<MultiPolygon<f64>>],
    ways: OnceCell<HiddenWays>,
}

impl<'a> Beneath<'a> {
    /// What each object hides.
    pub fn of(hides: &'a [Option<MultiPolygon<f64>>]) -> Self {
        Self {
            hides,
            ways: OnceCell::new(),
        }
    }

    /// How long the shortest way from `a` to `b` is beneath the objects from the place `first` on, as
    /// far as their shapes tell; nothing where it would be longer than `longest` mm.
    pub fn length(&self, a: Coord<f64>, b: Coord<f64>, first: usize, longest: f64) -> Option<f64> {
        let ways = self
            .ways
            .get_or_init(|| HiddenWays::beneath(self.hides.iter().cloned()));
        let way = ways.way(a, b, first, longest)?;
        Some(measure::length(&way.into()))
    }
}
