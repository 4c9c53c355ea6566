//! How much to scale for a wanted width or height.
//!
//! Not just the wanted length over the present one: stroke widths grow by the mean of both ways,
//! and the thread of a sewn object does not grow at all. So the factors are found by measuring what
//! they give.

use crate::Transform;
use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::prelude::*;

/// A size that differs by less than this is the one asked for, in mm.
const EXACT: f64 = 1e-9;

/// A size that differs by more than this cannot be had, in mm.
const TOLERABLE: f64 = 1e-3;

/// The factors across and down. Nothing, and a warning, where no factors give the size.
pub(crate) fn factors(settings: &Transform, objects: &[Object]) -> Option<[f64; 2]> {
    let wanted = [settings.width, settings.height];
    let mut factors = [1.0, 1.0];
    let mut off = f64::INFINITY;
    for _ in 0..200 {
        let sizes = sizes(settings, objects, factors)?;
        off = 0.0;
        for (wanted, size) in wanted.into_iter().zip(sizes) {
            off = wanted.map_or(off, |wanted| off.max((wanted - size).abs()));
        }
        if off < EXACT {
            break;
        }
        let grow = |axis: usize| Some(wanted[axis]? / sizes[axis]);
        factors = match (grow(0), grow(1)) {
            (Some(across), Some(down)) => [factors[0] * across, factors[1] * down],
            // In proportion.
            (across, down) => factors.map(|factor| factor * across.or(down).unwrap_or(1.0)),
        };
        let possible = |factor: &f64| (1e-3..=1e3).contains(factor);
        if !factors.iter().all(possible) {
            off = f64::INFINITY;
            break;
        }
    }
    if off <= TOLERABLE {
        return Some(factors);
    }
    let [width, height] = sizes(settings, objects, [1.0, 1.0])?;
    let finding = Finding::warning(format!(
        "{width:.2} x {height:.2} mm cannot be scaled to the size asked for, so it was left alone."
    ))
    .help(
        "A line without width has no size to grow from; nothing can be less wide than a thread; \
         and no more than 1000 times larger or smaller is possible.",
    );
    messages::report(match objects {
        [object] => finding.about(&object.id),
        _ => finding,
    });
    None
}

/// Width and height of `objects`, scaled.
fn sizes(settings: &Transform, objects: &[Object], factors: [f64; 2]) -> Option<[f64; 2]> {
    let scaling = Placement::scaling(factors[0], factors[1], Coord { x: 0.0, y: 0.0 });
    let scaled = objects.iter().filter_map(|object| {
        // What is scaled far out here is drawn back to its centre later.
        let mut object = object.clone();
        let _ = object.place(&scaling);
        Bounds::of(&object, settings.measured_by)
    });
    let bounds = Bounds::around(scaled)?;
    Some([bounds.across.length(), bounds.down.length()])
}
