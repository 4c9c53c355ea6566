//! Copies round a centre.

use crate::{Repeat, RoundWhat, Spot, Spots};
use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Placement, Rectangle};

/// A middle that lies nearer to the centre than this, in mm, lies on it.
const ON_CENTRE: f64 = 1e-9;

/// One after the other, from the original on.
pub(crate) fn spots(motif: &Bounds, page: &Rectangle, settings: &Repeat) -> Spots {
    let centre = match settings.round_what {
        RoundWhat::Page => page.middle(),
        RoundWhat::Point => Coord::from(&settings.point),
    };
    let middle = motif.centre();
    let first = settings
        .radius
        .map_or(middle, |radius| at_radius(middle, centre, radius));
    let copies = (1..settings.count)
        .map(|number| {
            let turn = Placement::turning(degrees(number, settings), centre);
            let placement = if settings.turned {
                turn
            } else {
                Placement::moving(turn.of(first) - first)
            };
            Spot {
                suffix: format!("{}-of-{}", number + 1, settings.count),
                placement,
            }
        })
        .collect();
    Spots {
        original: Placement::moving(first - middle),
        copies,
    }
}

/// How far copy `number` lies from the original, in degrees.
fn degrees(number: u32, settings: &Repeat) -> f64 {
    // All round, the last must not lie on the first.
    let parts = if settings.sweep.abs() >= 360.0 {
        settings.count
    } else {
        settings.count.saturating_sub(1).max(1)
    };
    settings.sweep * f64::from(number) / f64::from(parts)
}

/// The place `radius` away from `centre`, on the side where `middle` is.
fn at_radius(middle: Coord<f64>, centre: Coord<f64>, radius: f64) -> Coord<f64> {
    let far = distance(middle, centre);
    let way = if far > ON_CENTRE {
        (middle - centre) / far
    } else {
        // Straight up.
        Coord { x: 0.0, y: -1.0 }
    };
    centre + way * radius
}
