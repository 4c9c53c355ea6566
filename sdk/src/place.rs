//! A place as a setting.

use crate::settings;
use geo::Coord;

settings! {
    /// A place on the cloth.
    pub struct Place {
        /// To the right of the artwork's origin, in mm.
        pub x: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Below the artwork's origin, in mm.
        pub y: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
    }
}

impl From<&Place> for Coord<f64> {
    fn from(place: &Place) -> Self {
        Self {
            x: place.x,
            y: place.y,
        }
    }
}
