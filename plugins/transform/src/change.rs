//! The settings as one change of places.

use crate::{About, Mirror, Transform, size};
use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Placement, Rectangle};

/// What stays in its place, for all objects; the group's middle also where each has its own.
pub(crate) fn centre(settings: &Transform, group: &Bounds, page: &Rectangle) -> Coord<f64> {
    match settings.about {
        About::Each | About::Group => group.centre(),
        About::Page => page.middle(),
        About::Point => Coord::from(&settings.point),
    }
}

/// What the settings do to `objects` as one piece, about `centre`. Nothing where they cannot be
/// scaled to the size asked for, which is reported.
pub(crate) fn of(
    settings: &Transform,
    centre: Coord<f64>,
    objects: &[Object],
) -> Option<Placement> {
    let factors = if settings.width.is_some() || settings.height.is_some() {
        size::factors(settings, objects)?
    } else {
        [settings.scale_across / 100.0, settings.scale_down / 100.0]
    };
    let mirror = match settings.mirror {
        Mirror::No => Placement::default(),
        Mirror::LeftRight => Placement::mirroring(90.0, centre),
        Mirror::TopBottom => Placement::mirroring(0.0, centre),
        Mirror::Slanted => Placement::mirroring(settings.mirror_line, centre),
    };
    let change = Placement::scaling(factors[0], factors[1], centre)
        .then(&mirror)
        .then(&Placement::turning(settings.turn, centre))
        .then(&Placement::moving(Coord {
            x: settings.move_right,
            y: settings.move_down,
        }));
    Some(change)
}
