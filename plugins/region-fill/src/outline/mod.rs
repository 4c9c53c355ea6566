//! Lines that follow the outline inward, as connected spirals.

use crate::ground::Ground;
use crate::recipe::Recipe;
use crate::seam::Seam;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};

/// Sews the cover of `polygon` from where `seam` ends, or from near `start`, to near `finish`.
pub fn sew(
    _polygon: &Polygon<f64>,
    _ground: &Ground,
    _recipe: &Recipe,
    _start: Option<Coord<f64>>,
    _finish: Option<Coord<f64>>,
    _seam: &mut Seam,
) {
}
